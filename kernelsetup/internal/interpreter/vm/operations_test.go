package vm

import (
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"math"
	"path/filepath"
	"reflect"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"golang.org/x/tools/go/ssa"
	"golang.org/x/tools/go/ssa/ssautil"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm/sample"
)

// nothing is a Linker for programs that import nothing.
type nothing struct{}

func (nothing) Func(pkg, name string) any                  { return nil }
func (nothing) Var(pkg, name string) any                   { return nil }
func (nothing) Type(pkg, name string) (reflect.Type, bool) { return nil, false }

// interpret builds package sample for a machine.
func interpret(t *testing.T) (*Machine, *ssa.Package) {
	t.Helper()
	fset := token.NewFileSet()
	names, err := filepath.Glob("sample/*.go")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	var files []*ast.File
	for _, name := range names {
		f, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	conf := &types.Config{Importer: importer.Default(), GoVersion: "go1.26"}
	pkg, _, err := ssautil.BuildPackage(conf, fset, types.NewPackage("sample", "sample"), files, ssa.InstantiateGenerics|ssa.BareInits)
	if err != nil {
		t.Fatal(err)
	}
	m := New(pkg.Prog, nothing{}, Limits{Depth: 100_000, Memory: 1 << 30})
	call(t, m, pkg.Func("init"))
	return m, pkg
}

func call(t *testing.T, m *Machine, fn *ssa.Function) {
	t.Helper()
	r := m.Start(fn)
	<-r.Finished()
	if o := r.Outcome(); o.Panic != nil {
		t.Fatalf("%s: %v at %v", fn, o.Panic, o.Trace)
	}
}

func globalValue(t *testing.T, m *Machine, pkg *ssa.Package, name string) reflect.Value {
	t.Helper()
	v, err := m.Global(pkg.Var(name))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestOperations compares what package sample computes when it is interpreted
// with what it computes compiled: every operation on every type of number,
// with the values at its edges.
func TestOperations(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(-1)) // checkEmitted looks at literals that nobody has any more
	m, pkg := interpret(t)
	call(t, m, pkg.Func("Main"))
	sample.Main()
	results := globalValue(t, m, pkg, "Results")
	if results.Len() != len(sample.Results) || len(sample.Results) < 30 {
		t.Fatalf("%d cases interpreted, %d compiled", results.Len(), len(sample.Results))
	}
	total := 0
	for i, want := range sample.Results {
		got := results.Index(i).Elem()
		w := reflect.ValueOf(*want)
		for f := range w.NumField() {
			name, g, w := w.Type().Field(f).Name, got.Field(f), w.Field(f)
			if name == "Name" {
				continue
			}
			total += w.Len()
			if g.Len() != w.Len() {
				t.Errorf("%s: %d %s instead of %d", want.Name, g.Len(), name, w.Len())
			}
			wrong := 0
			for j := range min(g.Len(), w.Len()) {
				if !sameResult(g.Index(j), w.Index(j)) {
					if wrong++; wrong <= 3 {
						t.Errorf("%s: %s[%d] is %v, compiled %v", want.Name, name, j, g.Index(j), w.Index(j))
					}
				}
			}
		}
	}
	t.Logf("%d cases, %d results", len(sample.Results), total)
	if total < 100_000 {
		t.Errorf("only %d results", total)
	}
	checkEmitted(t, m)
}

// sameResult compares bits, so that zeros keep their sign; of NaN there are
// many, and which one comes out is nobody's promise.
func sameResult(x, y reflect.Value) bool {
	switch x.Kind() {
	case reflect.String:
		return x.String() == y.String()
	case reflect.Float64, reflect.Float32:
		a, b := x.Float(), y.Float()
		return math.Float64bits(a) == math.Float64bits(b) || a != a && b != b
	}
	return x.Uint() == y.Uint()
}

// checkEmitted fails for an operation that no function of the sample is made
// of: then nothing above has tested it.
func checkEmitted(t *testing.T, m *Machine) {
	t.Helper()
	var count [len(opNames)]int
	count[opNop], count[opExit], count[opUnwind] = 1, 1, 1 // in no function's code
	for f := range m.allFuncs() {
		if c := f.code.Load(); c != nil {
			for _, in := range c.ins {
				if in.op != opEnd {
					count[in.op]++
				}
			}
		}
	}
	// These need compiled packages; the interpreter's tests have them.
	count[opCallNat] = 1
	for op, n := range count {
		if n == 0 {
			t.Errorf("no function of the sample uses %s", opNames[op])
		}
	}
}

// TestInterrupts stops a loop at each kind of branch.
func TestInterrupts(t *testing.T) {
	m, pkg := interpret(t)
	turns := globalValue(t, m, pkg, "Turns").Addr().Interface().(*int)
	loops := 0
	for _, name := range pkgFuncs(pkg) {
		op, ok := strings.CutPrefix(name, "Loop")
		if !ok || op == "Call2" {
			continue
		}
		loops++
		t.Run(op, func(t *testing.T) {
			before := *turns
			for wait := time.Millisecond; *turns == before; wait *= 2 {
				if wait > 10*time.Second {
					t.Fatal("does not begin")
				}
				r := m.Start(pkg.Func(name))
				time.Sleep(wait)
				r.Interrupt()
				select {
				case <-r.Finished():
				case <-time.After(10 * time.Second):
					t.Fatal("goes on after an interrupt")
				}
				if o := r.Outcome(); !o.Interrupted() {
					t.Fatalf("ended with %+v after %d turns", o, *turns-before)
				}
			}
			if !strings.HasPrefix(op, "J") {
				return
			}
			found := false
			for _, in := range m.funcs[pkg.Func(name)].code.Load().ins {
				found = found || in.op != opEnd && opNames[in.op] == op && in.d < 0
			}
			if !found {
				t.Errorf("no %s leads back:%s", op, listing(m.funcs[pkg.Func(name)].code.Load()))
			}
		})
	}
	if want := branches(); loops < want {
		t.Errorf("%d loops for %d branches", loops, want)
	}
}

func branches() (n int) {
	for _, name := range opNames {
		if strings.HasPrefix(name, "J") {
			n++
		}
	}
	return n
}

func pkgFuncs(pkg *ssa.Package) (names []string) {
	for name, member := range pkg.Members {
		if _, ok := member.(*ssa.Function); ok {
			names = append(names, name)
		}
	}
	return names
}

func listing(c *code) string {
	var b strings.Builder
	for i, in := range c.ins {
		if in.op != opEnd {
			fmt.Fprintf(&b, "\n%3d %s %d %d %d %d", i, opNames[in.op], in.a, in.b, in.c, in.d)
		}
	}
	return b.String()
}
