package rtype

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"testing"
	"unsafe"
)

// cell checks declarations as the package main of a notebook.
func cell(t testing.TB, src string) (*types.Package, *types.Info) {
	t.Helper()
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "cell.go", "package main\n"+src, 0)
	if err != nil {
		t.Fatal(err)
	}
	info := &types.Info{Defs: map[*ast.Ident]types.Object{}}
	pkg, err := new(types.Config).Check("main", fset, []*ast.File{f}, info)
	if err != nil {
		t.Fatal(err)
	}
	return pkg, info
}

// named answers every method call with the cell's name.
type named struct{ name string }

func (n *named) Method(sel *types.Selection) (unsafe.Pointer, error) {
	return unsafe.Pointer(&n.name), nil
}

func (n *named) Call(impl unsafe.Pointer, _ []reflect.Value) []reflect.Value {
	return []reflect.Value{reflect.ValueOf(*(*string)(impl))}
}

func (n *named) CallWords(impl unsafe.Pointer, w *Words) {
	s := *(*string)(impl)
	w.R.P[0], w.R.N[1] = unsafe.Pointer(unsafe.StringData(s)), uint64(len(s))
}

func mustType(t testing.TB, r *Registry, typ types.Type) reflect.Type {
	t.Helper()
	rt, err := r.Type(typ)
	if err != nil {
		t.Fatal(err)
	}
	return rt
}

func TestIdentityWithCompiledTypes(t *testing.T) {
	pkg, _ := cell(t, `
var a []float64
var b func(int) bool
var c struct{}
var d map[string][]int
var e struct { X int; y string }
var f any
var g error
var h chan<- error
var i func(string, ...any) (int, error)
var j *[4]rune
`)
	r := New(nil, nil, nil)
	for name, want := range map[string]reflect.Type{
		"a": reflect.TypeFor[[]float64](), "b": reflect.TypeFor[func(int) bool](), "c": reflect.TypeFor[struct{}](),
		"d": reflect.TypeFor[map[string][]int](), "f": reflect.TypeFor[any](), "g": reflect.TypeFor[error](),
		"h": reflect.TypeFor[chan<- error](), "i": reflect.TypeFor[func(string, ...any) (int, error)](), "j": reflect.TypeFor[*[4]int32](),
	} {
		if got := mustType(t, r, pkg.Scope().Lookup(name).Type()); got != want {
			t.Errorf("%s is not the binary's %s", got, want)
		}
	}
	e := mustType(t, r, pkg.Scope().Lookup("e").Type())
	if e != mustType(t, New(nil, nil, nil), pkg.Scope().Lookup("e").Type()) || e.Field(1).PkgPath != "main" {
		t.Error(e)
	}
}

func TestNames(t *testing.T) {
	_, info := cell(t, `
type T struct{}
type Pair[K comparable, V any] struct { k K; v V }
type List[E any] []E
func f() { type Local struct { T }; var local Local; _ = local }
var pair Pair[string, T]
var nested Pair[*T, List[map[rune]func(byte, ...int) (T, error)]]
var inter List[interface{ M(); String() string }]
var unnamed interface{ m(int) T }
var strct List[struct { X int "tag"; y any; T }]
`)
	want := map[string]string{
		"local":   "main.Local",
		"pair":    "main.Pair[string,main.T]",
		"nested":  "main.Pair[*main.T,main.List[map[int32]func(uint8, ...int) (main.T, error)]]",
		"inter":   "main.List[interface { M(); String() string }]",
		"unnamed": "interface { main.m(int) main.T }",
		"strct":   "main.List[struct { X int \"tag\"; main.y interface {}; main.T }]",
	}
	r := New(nil, &named{}, &named{})
	for id, obj := range info.Defs {
		if w, ok := want[id.Name]; ok {
			if got := mustType(t, r, obj.Type()).String(); got != w {
				t.Errorf("%s: %s, want %s", id.Name, got, w)
			}
			delete(want, id.Name)
		}
	}
	if len(want) > 0 {
		t.Error("not found:", want)
	}
}

func TestErrors(t *testing.T) {
	pkg, info := cell(t, `
type Number interface { ~int | ~float64 }
func g[P Number](p P) {}
type Good struct { bad *Bad; huge *[1 << 50]Good }
type Bad struct { good *Good; c chan [1 << 17]byte }
`)
	r := New(nil, &named{}, &named{})
	for id, obj := range info.Defs {
		if id.Name != "p" && id.Name != "g" && id.Name != "Number" && id.Name != "Good" && id.Name != "Bad" {
			continue
		}
		if rt, err := r.Type(obj.Type()); err == nil {
			t.Errorf("%s has the type %s", id.Name, rt)
		} else if !strings.HasPrefix(err.Error(), "no run-time type for ") {
			t.Error(err)
		}
	}
	if r.types.Len() != 0 {
		t.Errorf("failures left %d types: %v", r.types.Len(), r.types.Keys())
	}
	r = New(nil, nil, nil)
	if _, err := r.Type(pkg.Scope().Lookup("Good").Type()); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Error(err)
	}
}

const twoTypes = `
type T struct { n int; next *U; list List[T]; any interface{ Get() *T } }
func (t T) String() string { return "" }
type U struct { T; m map[string]U }
func (u *U) Set(t T, f func(U) T) {}
type List[E any] struct { items []E }
func (l List[E]) String() string { return "" }
var list List[U]
var unnamed struct { U; x int }
`

func lookup(pkg *types.Package, name string) *types.Named {
	return pkg.Scope().Lookup(name).Type().(*types.Named)
}

func TestAdoptUnchangedDeclarations(t *testing.T) {
	source := &named{"first"}
	r := New(nil, source, source)
	old, _ := cell(t, twoTypes)
	vars := []string{"T", "U", "list", "unnamed"}
	before := map[string]reflect.Type{}
	for _, name := range vars {
		before[name] = mustType(t, r, old.Scope().Lookup(name).Type())
	}
	v := reflect.New(before["T"]).Elem().Interface()
	unnamed := reflect.New(before["unnamed"]).Interface()
	if fmt.Sprint(v, unnamed, reflect.New(before["list"])) != "first first first" {
		t.Error(v, unnamed)
	}
	now, _ := cell(t, twoTypes)
	r.methods = &named{"second"}
	pairs := map[*types.Named]*types.Named{}
	for _, name := range []string{"T", "U", "List"} {
		pairs[lookup(now, name)] = lookup(old, name)
	}
	if got := r.Adopt(pairs); len(got) != 3 {
		t.Fatalf("adopted %v", got)
	}
	for _, name := range vars {
		if got := mustType(t, r, now.Scope().Lookup(name).Type()); got != before[name] {
			t.Errorf("%s has another type now", got)
		}
	}
	if got := fmt.Sprint(v, unnamed); got != "second second" {
		t.Error(got)
	}
	if r.TypeOf(before["T"]) != now.Scope().Lookup("T").Type() {
		t.Error("TypeOf gives the old type")
	}
	// A changed U changes T, which refers to it, and List[T] with it.
	changed, _ := cell(t, strings.Replace(twoTypes, "m map[string]U", "m map[int]U", 1))
	pairs = map[*types.Named]*types.Named{}
	for _, name := range []string{"T", "U", "List"} {
		pairs[lookup(changed, name)] = lookup(now, name)
	}
	if got := r.Adopt(pairs); len(got) != 1 {
		t.Fatalf("adopted %v", got)
	}
	for _, name := range vars {
		if got := mustType(t, r, changed.Scope().Lookup(name).Type()); got == before[name] {
			t.Errorf("%s is still the old type", got)
		}
	}
}

func TestRebind(t *testing.T) {
	source := &named{"first"}
	r := New(nil, source, source)
	pkg, _ := cell(t, "type T int\nfunc (T) String() string { return \"\" }")
	rt := mustType(t, r, lookup(pkg, "T"))
	v := reflect.Zero(rt).Interface()
	a := fmt.Sprint(v)
	other := &named{"other"}
	r.methods = other
	b := fmt.Sprint(v)
	r.Rebind(rt)
	r.Rebind(reflect.PointerTo(rt))
	if c := fmt.Sprint(v); a+b+c != "firstfirstother" {
		t.Error(a, b, c)
	}
}

func TestConcurrentUse(t *testing.T) {
	source := &named{"x"}
	r := New(nil, source, source)
	pkg, _ := cell(t, twoTypes)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for _, name := range []string{"U", "T", "list", "unnamed"} {
				rt, err := r.Type(pkg.Scope().Lookup(name).Type())
				if err != nil {
					t.Error(err)
					return
				}
				if got := fmt.Sprint(reflect.New(rt).Interface()); got != "x" {
					t.Error(got)
				}
			}
		})
	}
	wg.Wait()
}

func TestStubsRunOut(t *testing.T) {
	stubsMu.Lock()
	used := stubsUsed
	stubsUsed = Stubs - 2
	stubsMu.Unlock()
	defer func() {
		stubsMu.Lock()
		stubsUsed = used
		stubsMu.Unlock()
	}()
	source := &named{"last"}
	r := New(nil, source, source)
	pkg, _ := cell(t, "type T int\nfunc (T) String() string { return \"\" }\ntype U int\nfunc (*U) String() string { return \"\" }")
	if got := fmt.Sprint(reflect.Zero(mustType(t, r, lookup(pkg, "T"))).Interface()); got != "last" {
		t.Error(got)
	}
	if _, err := r.Type(lookup(pkg, "U")); err == nil || !strings.Contains(err.Error(), "restart the kernel") {
		t.Error(err)
	}
	if StubsFree() != 0 {
		t.Error(StubsFree())
	}
}

func TestBind(t *testing.T) {
	pkg, _ := cell(t, "var x interface{ Close() error }\nvar f func(interface{ Close() error })")
	r := New(nil, nil, nil)
	type closer = interface{ Close() error }
	r.Bind(pkg.Scope().Lookup("x").Type(), reflect.TypeFor[closer]())
	if got := mustType(t, r, pkg.Scope().Lookup("f").Type()); got != reflect.TypeFor[func(closer)]() {
		t.Error(got)
	}
}

// TestLargeTypes keeps pointers at the end of types whose pointer masks the
// runtime builds when it first needs them.
func TestLargeTypes(t *testing.T) {
	pkg, _ := cell(t, `
type Big struct { pad [200]string; p [200000]*[4]int; last map[string]*Big }
type Arr [150000]struct { n int; s []Big }
`)
	r := New(nil, nil, nil)
	big := reflect.New(mustType(t, r, lookup(pkg, "Big")))
	arr := reflect.New(mustType(t, r, lookup(pkg, "Arr")))
	p := reflect.NewAt(reflect.TypeFor[[200000]*[4]int](), unsafe.Add(big.UnsafePointer(), big.Elem().Type().Field(1).Offset)).Elem()
	for i := range 200000 / 1000 {
		p.Index(i * 1000).Set(reflect.ValueOf(&[4]int{i}))
	}
	last := unsafe.Add(arr.UnsafePointer(), arr.Elem().Type().Size()-24)
	*(*[]*[4]int)(last) = []*[4]int{{42}}
	for range 3 {
		runtime.GC()
		_ = make([][4]int, 10000)
	}
	for i := range 200000 / 1000 {
		if got := p.Index(i * 1000).Elem().Index(0).Int(); got != int64(i) {
			t.Fatalf("element %d became %d", i, got)
		}
	}
	if got := (*(*[]*[4]int)(last))[0][0]; got != 42 {
		t.Error(got)
	}
	runtime.KeepAlive(big)
	runtime.KeepAlive(arr)
}

// rebinding binds a method anew while its function is looked for, as a cell
// does beside a goroutine that an earlier one has left.
type rebinding struct {
	named
	during func()
}

func (r *rebinding) Method(sel *types.Selection) (unsafe.Pointer, error) {
	before := &named{r.name}
	if r.during != nil {
		r.during()
	}
	return unsafe.Pointer(&before.name), nil
}

// What was found before a method was bound anew is neither called nor kept; and
// whoever binds need not wait for who looks.
func TestBindingAnewWhileAMethodIsFound(t *testing.T) {
	pkg, _ := cell(t, "type T struct{ n int }\nfunc (T) String() string")
	src := &rebinding{named: named{name: "old"}}
	r := New(nil, src, src)
	rt := mustType(t, r, pkg.Scope().Lookup("T").Type())
	src.during = func() {
		src.during, src.name = nil, "new"
		r.Rebind(rt)
		r.Rebind(reflect.PointerTo(rt)) // which interfaces call
	}
	v := reflect.New(rt).Elem().Interface().(fmt.Stringer)
	for i, want := range []string{"new", "new"} {
		if got := v.String(); got != want {
			t.Errorf("call %d gives %q, want %q", i, got, want)
		}
	}
}
