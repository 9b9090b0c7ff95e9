package symbols

import (
	"fmt"
	"go/importer"
	"go/token"
	"go/types"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
)

// Every package can be read, in any order, and its table fits its types:
// whatever the table holds has the type that the type data say.
func TestTablesFitTypes(t *testing.T) {
	paths := Default().Paths()
	orders := map[string][]string{"sorted": paths, "reversed": slices.Clone(paths)}
	slices.Reverse(orders["reversed"])
	for order, paths := range orders {
		t.Run(order, func(t *testing.T) {
			r := precompiled.NewImporter(Default())
			for _, path := range paths {
				p, err := r.Import(path)
				if err != nil {
					t.Fatal(err)
				}
				if p.Name() != Default().Lookup(path).Name {
					t.Errorf("%s is named %s in its types and %s in its table", path, p.Name(), Default().Lookup(path).Name)
				}
				fits(t, p)
			}
		})
	}
}

func fits(t *testing.T, p *types.Package) {
	lib := Default().Lookup(p.Path())
	for _, name := range p.Scope().Names() {
		obj := p.Scope().Lookup(name)
		if !obj.Exported() {
			continue
		}
		full := p.Path() + "." + name
		switch obj := obj.(type) {
		case *types.Func:
			f := lib.Func(name)
			if obj.Signature().TypeParams().Len() > 0 {
				if f != nil {
					t.Errorf("%s is generic and in the table", full)
				}
				continue
			}
			if f == nil {
				continue
			}
			ft := reflect.TypeOf(f)
			if ft.NumIn() != obj.Signature().Params().Len() || ft.NumOut() != obj.Signature().Results().Len() {
				t.Errorf("%s: table has %v, types have %v", full, ft, obj.Signature())
			}
		case *types.Var:
			if v := lib.Var(name); v != nil && reflect.TypeOf(v).Kind() != reflect.Pointer {
				t.Errorf("%s: table has no pointer", full)
			}
		case *types.TypeName:
			v := lib.Type(name)
			if v == nil {
				continue
			}
			rt := reflect.TypeOf(v).Elem()
			s, ok := obj.Type().Underlying().(*types.Struct)
			if !ok {
				continue
			}
			if rt.Kind() != reflect.Struct || rt.NumField() != s.NumFields() {
				t.Errorf("%s: table has %v, types have %v", full, rt, s)
				continue
			}
			for i := range s.NumFields() {
				if rt.Field(i).Name != s.Field(i).Name() {
					t.Errorf("%s: field %d is %s in the table and %s in the types", full, i, rt.Field(i).Name, s.Field(i).Name())
				}
			}
		}
	}
}

// The compiler's own reading of the standard library exports the same names.
func TestTypesAgreeWithCompiler(t *testing.T) {
	source := importer.ForCompiler(token.NewFileSet(), "source", nil)
	r := precompiled.NewImporter(Default())
	for _, path := range []string{"fmt", "strings", "slices", "sync", "sync/atomic", "reflect", "errors", "maps", "iter", "cmp", "math/rand/v2", "time", "io"} {
		want, err := source.Import(path)
		if err != nil {
			t.Skip("no Go source tree: ", err)
		}
		got, err := r.Import(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range want.Scope().Names() {
			w := want.Scope().Lookup(name)
			if !w.Exported() {
				continue
			}
			g := got.Scope().Lookup(name)
			if g == nil {
				t.Errorf("%s.%s is missing", path, name)
				continue
			}
			if _, ok := w.(*types.TypeName); ok {
				if a, b := methodSet(w.Type()), methodSet(g.Type()); a != b {
					t.Errorf("%s.%s has methods\n%s\nwant\n%s", path, name, b, a)
				}
				continue
			}
			if a, b := types.ObjectString(w, nil), types.ObjectString(g, nil); a != b {
				t.Errorf("%s is\n%s\nwant\n%s", name, b, a)
			}
			if c, ok := w.(*types.Const); ok && c.Val().ExactString() != g.(*types.Const).Val().ExactString() {
				t.Errorf("%s.%s is %v, want %v", path, name, g.(*types.Const).Val(), c.Val())
			}
		}
	}
}

func methodSet(t types.Type) string {
	set := types.NewMethodSet(types.NewPointer(t))
	if types.IsInterface(t) {
		set = types.NewMethodSet(t)
	}
	var b strings.Builder
	for i := range set.Len() {
		m := set.At(i).Obj().(*types.Func)
		generic := m.Signature().TypeParams().Len() > 0 // not in the Go of cells
		if m.Exported() && !generic {
			fmt.Fprintln(&b, m.Name(), types.TypeString(m.Type(), nil))
		}
	}
	return b.String()
}

func TestDoc(t *testing.T) {
	for _, c := range []struct{ path, symbol, signature, text string }{
		{"math", "Sqrt", "func Sqrt(x float64) float64", "square root"},
		{"strings", "Builder.WriteString", "func (b *Builder) WriteString(s string) (int, error)", "appends"},
		{"net/http", "Client.Timeout", "field Timeout time.Duration", "time limit"},
		{"io", "Reader.Read", "func (Reader) Read(p []byte) (n int, err error)", ""},
		{"math", "Pi", "const Pi", "Mathematical constants"},
		{"gonum.org/v1/gonum/stat", "Mean", "func Mean(x, weights []float64) float64", "weighted mean"},
		{"slices", "Sort", "func Sort[S ~[]E, E cmp.Ordered](x S)", "sorts"},
		{"sort", "", "package sort", "Package sort"},
	} {
		doc, ok := Default().Doc(c.path, c.symbol)
		if !ok || !strings.HasPrefix(doc.Signature, c.signature) || !strings.Contains(doc.Text, c.text) {
			t.Errorf("%s.%s: got %v %q", c.path, c.symbol, ok, doc)
		}
	}
	if _, ok := Default().Doc("math", "Nothing"); ok {
		t.Error("math.Nothing has a doc")
	}
}

func TestInstances(t *testing.T) {
	seq := Default().Lookup("iter").Type("Seq[string]")
	if seq == nil || reflect.TypeOf(seq).Elem().Kind() != reflect.Func {
		t.Fatalf("iter.Seq[string] is %v", seq)
	}
}

func TestUnknown(t *testing.T) {
	if p := Default().Lookup("no/such"); p != nil {
		t.Error("a package that is not there was found")
	}
	if slices.Contains(Default().Paths(), "unsafe") {
		t.Error("unsafe can be imported")
	}
}
