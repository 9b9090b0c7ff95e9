package interpreter

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// moduleNotebook opens a notebook in a folder below a module with the given
// files.
func moduleNotebook(t *testing.T, files map[string]string) (nb *notebookTest, dir string) {
	t.Helper()
	dir = t.TempDir()
	write(t, dir, "go.mod", "module example.com/garage\n\ngo 1.26\n")
	for name, text := range files {
		write(t, dir, name, text)
	}
	books := filepath.Join(dir, "books")
	if err := os.MkdirAll(books, 0o755); err != nil {
		t.Fatal(err)
	}
	return openNotebook(t, books), dir
}

func openNotebook(t *testing.T, dir string) *notebookTest {
	t.Helper()
	e, err := New(Options{Library: symbols.Default(), Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	return &notebookTest{t: t, e: e}
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

const (
	wheelSource = `// Package wheel is about wheels.
package wheel

import "fmt"

// Made counts what init has done.
var Made = ready * 2

var ready int

func init() { ready++; Made++ }

// Wheel is a wheel.
type Wheel struct{ Radius float64 }

// String implements fmt.Stringer.
func (w Wheel) String() string { return fmt.Sprintf("wheel of %g m", w.Radius) }

// Sum adds.
func Sum[T int | float64](list ...T) (s T) {
	for _, x := range list {
		s += x
	}
	return s
}

// At panics beyond the end.
func At(list []int, i int) int {
	return list[i]
}
`
	carSource = `package car

import "example.com/garage/wheel"

// Car is a car.
type Car struct{ Wheels [4]wheel.Wheel }

// New makes one.
func New(r float64) *Car {
	c := new(Car)
	for i := range c.Wheels {
		c.Wheels[i].Radius = r
	}
	return c
}

// Radii adds the radii up.
func (c *Car) Radii() float64 {
	return wheel.Sum(c.Wheels[0].Radius, c.Wheels[1].Radius)
}
`
)

func TestPackagesOfTheModule(t *testing.T) {
	nb, _ := moduleNotebook(t, map[string]string{
		"wheel/wheel.go":      wheelSource,
		"wheel/wheel_test.go": "package wheel\n\nthis is not read\n",
		"car/car.go":          carSource,
	})
	nb.ok("import (\"fmt\"; \"example.com/garage/car\"; \"example.com/garage/wheel\")\nc := car.New(0.25)")
	for _, c := range []struct{ src, want string }{
		{"wheel.Made", "1"}, // ready is 0 when Made is initialised, init adds 1
		{"c.Radii()", "0.5"},
		{"fmt.Sprint(c.Wheels[0])", "wheel of 0.25 m"},
		{"fmt.Sprint(c.Wheels[:2])", "[wheel of 0.25 m wheel of 0.25 m]"},
		{"wheel.Sum(1, 2, 3)", "6"},
		{"wheel.Sum(0.5, 1)", "1.5"},
		{"type Big struct{ wheel.Wheel }\nfmt.Sprint(Big{wheel.Wheel{Radius: 1}})", "wheel of 1 m"},
	} {
		if got := nb.value(c.src); got != c.want {
			t.Errorf("%s is %s, want %s", c.src, got, c.want)
		}
	}
}

func TestPanicInAPackageOfTheModule(t *testing.T) {
	nb, _ := moduleNotebook(t, map[string]string{"wheel/wheel.go": wheelSource})
	r := nb.run("import \"example.com/garage/wheel\"\nwheel.At([]int{1}, 3)", 0)
	const want = `panic: runtime error: index out of range [3] with length 1
  wheel/wheel.go, line 29
    29 | 	return list[i]
       | 	           ^
  called from the cell, cell 1, line 2
     2 | wheel.At([]int{1}, 3)
Hint: Indexes run from 0 to the length minus one.`
	if r.Err == nil || r.Err.Traceback() != want {
		t.Errorf("%+v", r.Err)
	}
}

// What is wrong in a package of the module is told with file and line, and is
// read again when it has been put right.
func TestErrorInAPackageOfTheModule(t *testing.T) {
	for _, c := range []struct{ name, text, file, message string }{
		{"wrong type", strings.Replace(wheelSource, "ready int", "ready int = \"no\"", 1), "wheel/wheel.go", "wheel/wheel.go:9:17: package example.com/garage/wheel: cannot use \"no\""},
		{"syntax", strings.Replace(wheelSource, "ready++;", "ready++ +;", 1), "wheel/wheel.go", "wheel/wheel.go:11:23: package example.com/garage/wheel: syntax error: expected"},
		{"missing package", strings.Replace(wheelSource, "\"fmt\"", "\"fmt\"\nimport _ \"no/such/text\"", 1), "wheel/wheel.go", "wheel/wheel.go:5:10: package example.com/garage/wheel: could not import no/such/text"},
		{"cycle", strings.Replace(wheelSource, "\"fmt\"", "\"fmt\"\nimport _ \"example.com/garage/car\"", 1), "wheel/wheel.go", "import cycle not allowed"},
		{"program", strings.Replace(wheelSource, "package wheel", "package main", 1), "wheel/wheel.go", "it is a program"},
		{"no Go files", "", "wheel/wheel.txt", "wheel holds no Go files"},
	} {
		nb, dir := moduleNotebook(t, map[string]string{c.file: c.text, "car/car.go": carSource})
		for _, path := range []string{"wheel", "car"} { // of its own and through another
			r := nb.run("import \"example.com/garage/"+path+"\"", 0)
			if r.Err == nil || r.Err.Kind != ImportError || !strings.Contains(r.Err.Error(), c.message) {
				t.Errorf("%s, import of %s: %v", c.name, path, r.Err)
			}
		}
		write(t, dir, "wheel/wheel.go", wheelSource)
		if got := nb.value("import \"example.com/garage/car\"\ncar.New(1).Radii()"); got != "2" {
			t.Errorf("%s, put right: %s", c.name, got)
		}
	}
}

// A package whose files have changed is read anew when it is imported again,
// with what rests on it; until then a cell that uses it is told.
func TestPackageOfTheModuleChangesOnDisk(t *testing.T) {
	nb, dir := moduleNotebook(t, map[string]string{"wheel/wheel.go": wheelSource, "car/car.go": carSource})
	const use = "import \"example.com/garage/car\"\ncar.New(1).Wheels[0].String()"
	if r := nb.ok(use); len(r.Notices) > 0 {
		t.Errorf("notices: %q", r.Notices)
	}
	nb.ok("func name() string { return car.New(2).Wheels[0].String() }\nfunc outer() string { return name() }\nc := car.New(3)\nradii := c.Radii()\nvar held any = c")
	write(t, dir, "wheel/wheel.go", strings.Replace(wheelSource, "wheel of %g m", "a wheel of %g metres", 1))
	r := nb.ok("car.New(1).Wheels[0].String()")
	if len(r.Notices) != 1 || r.Notices[0] != "package example.com/garage/car has changed since it was loaded: run its import again to use it as it is now" {
		t.Errorf("notices: %q", r.Notices)
	}
	if got := nb.value("outer()"); got != "wheel of 2 m" {
		t.Errorf("before the import: %s", got)
	}
	if r := nb.run("car.Added()", 0); r.Err == nil || !strings.Contains(r.Err.Hint, "car has changed since it was loaded") {
		t.Errorf("a function that the file may have by now: %+v", r.Err)
	}
	// A cell that fails changes nothing.
	if r := nb.run("import \"example.com/garage/car\"\ncar.None()", 0); r.Err == nil || r.Err.Kind != TypeError {
		t.Errorf("%v", r.Err)
	}
	if got := nb.value("c.Wheels[0].String()"); got != "wheel of 3 m" {
		t.Errorf("after a cell that failed: %s", got)
	}
	r = nb.ok(use)
	if got := strings.Join(r.Notices, "\n"); got != "package example.com/garage/car has been loaded anew: its variables begin anew, values made before keep their old methods\n"+
		"package example.com/garage/wheel has been loaded anew: its variables begin anew, values made before keep their old methods\n"+
		"variable c is gone: its type changed" {
		t.Errorf("notices: %s", got)
	}
	for _, c := range []struct{ src, want string }{
		{"car.New(1).Wheels[0].String()", "a wheel of 1 metres"},
		{"outer()", "a wheel of 2 metres"},
		{"radii", "6"},
		{"held.(interface{ Radii() float64 }).Radii()", "6"},
		{"import \"example.com/garage/wheel\"\nwheel.Wheel{Radius: 4}.String()", "a wheel of 4 metres"},
		{"func() (ok bool) { _, ok = held.(*car.Car); return }()", "false"},
		{"held = car.New(9)\nheld.(*car.Car).Wheels[1].String()", "a wheel of 9 metres"},
		{"import \"example.com/garage/car\"\nimport \"fmt\"\nfmt.Sprint(car.New(5).Wheels[:1])", "[a wheel of 5 metres]"},
	} {
		if got := nb.value(c.src); got != c.want {
			t.Errorf("%s is %s, want %s", c.src, got, c.want)
		}
	}
	// A function that no longer fits says so when it is called.
	write(t, dir, "car/car.go", strings.Replace(carSource, "func New(r float64) *Car", "func New(r float64, more ...string) Car", 1))
	if r := nb.run("import \"example.com/garage/car\"", 0); r.Err == nil || !strings.Contains(r.Err.Error(), "cannot use c (variable of type *Car) as Car value in return statement") {
		t.Errorf("%v", r.Err)
	}
	write(t, dir, "car/car.go", strings.Replace(strings.Replace(carSource, "func New(r float64) *Car", "func New(r float64) Car", 1), "return c", "return *c", 1))
	nb.ok("func keep(c *car.Car) {}\nfunc call() { keep(car.New(1)) }")
	r = nb.ok("import \"example.com/garage/car\"")
	if !strings.Contains(strings.Join(r.Notices, "\n"), "function call no longer compiles: cannot use car.New(1)") {
		t.Errorf("notices: %q", r.Notices)
	}
}

// cachedModules opens a notebook in a module that needs another from the module
// cache, which needs a third.
func cachedModules(t *testing.T) *notebookTest {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("GOMODCACHE", filepath.Join(dir, "cache"))
	t.Setenv("GOENV", "off")
	t.Setenv("GOWORK", "off")
	t.Setenv("GOFLAGS", "")
	write(t, dir, "garage/go.mod", "module example.com/garage\n\ngo 1.26\n\nrequire (\n\texample.com/bolt v1.2.0\n\texample.com/absent v1.0.0\n)\n")
	write(t, dir, "cache/cache/download/example.com/bolt/@v/v1.2.0.mod", "module example.com/bolt\n\ngo 1.21\n\nrequire example.com/thread v0.3.0\n")
	write(t, dir, "cache/cache/download/example.com/thread/@v/v0.3.0.mod", "module example.com/thread\n")
	write(t, dir, "cache/example.com/bolt@v1.2.0/bolt.go", "package bolt\n\nimport (\n\t\"example.com/bolt/internal/head\"\n\t\"example.com/thread\"\n)\n\n// Name names a bolt.\nfunc Name() string { return system + head.Form + thread.Pitch(1) }\n\nfunc Bad() { thread.Pitch(-1) }\n")
	write(t, dir, "cache/example.com/bolt@v1.2.0/bolt_plan9.go", "package bolt\n\nconst system = \"nine\"\n")
	write(t, dir, "cache/example.com/bolt@v1.2.0/bolt_other.go", "//go:build !plan9 && purego\n\npackage bolt\n\nconst system = \"M\"\n")
	write(t, dir, "cache/example.com/bolt@v1.2.0/internal/head/head.go", "package head\n\nconst Form = \"hex\"\n")
	write(t, dir, "cache/example.com/bolt@v1.2.0/needs/needs.go", "package needs\n\nimport _ \"example.com/nowhere/x\"\n")
	write(t, dir, "cache/example.com/thread@v0.3.0/thread.go", "package thread\n\nimport \"fmt\"\n\nfunc Pitch(n int) string {\n\tif n < 0 {\n\t\tpanic(\"pitch\")\n\t}\n\treturn fmt.Sprint(n)\n}\n")
	return openNotebook(t, filepath.Join(dir, "garage"))
}

func TestImportFromTheModuleCache(t *testing.T) {
	nb := cachedModules(t)
	if got := nb.value("import \"example.com/bolt\"\nbolt.Name()"); got != "Mhex1" {
		t.Errorf("%s", got)
	}
	if r := nb.run("bolt.Bad()", 0); r.Err == nil || !strings.Contains(r.Err.Traceback(), "example.com/thread@v0.3.0/thread.go, line 7") {
		t.Errorf("%v", r.Err)
	}
	for _, c := range []struct{ path, message, hint string }{
		{"example.com/absent", "module example.com/absent@v1.0.0 is required by go.mod, but it is not in the module cache", " && go mod download example.com/absent"},
		{"example.com/other", "no module that go.mod requires has package example.com/other", " && go get example.com/other"},
		{"example.com/bolt/needs", "example.com/bolt@v1.2.0/needs/needs.go:3:10: package example.com/bolt/needs: could not import example.com/nowhere/x", " && go get example.com/nowhere/x"},
		{"example.com/bolt/internal/head", "use of internal package example.com/bolt/internal/head not allowed", ""},
		{"mathh/rand", "package mathh/rand is not available in this notebook", "did you mean \"crypto/rand\" or \"math/rand\"?"},
	} {
		r := nb.run("import _ \""+c.path+"\"", 0)
		if r.Err == nil || r.Err.Kind != ImportError || !strings.Contains(r.Err.Error(), c.message) || !strings.Contains(r.Err.Hint, c.hint) {
			t.Errorf("%s: %v; hint %q", c.path, r.Err, func() string {
				if r.Err == nil {
					return ""
				}
				return r.Err.Hint
			}())
		}
	}
}

// What a failed initialisation leaves undone is done before the next cell.
func TestFailedInitialisationIsRepeated(t *testing.T) {
	nb, dir := moduleNotebook(t, map[string]string{
		"wheel/wheel.go": "package wheel\n\nimport \"os\"\n\nvar Size = load()\n\nfunc load() int {\n\tif _, err := os.Stat(File); err != nil {\n\t\tpanic(err)\n\t}\n\treturn 7\n}\n",
		"car/car.go":     "package car\n\nimport \"example.com/garage/wheel\"\n\nvar Twice = 2 * wheel.Size\n",
	})
	write(t, dir, "wheel/file.go", "package wheel\n\nconst File = `"+filepath.Join(dir, "size")+"`\n")
	if r := nb.run("import \"example.com/garage/car\"", 0); r.Err == nil || r.Err.Kind != Panic {
		t.Fatalf("%v", r.Err)
	}
	write(t, dir, "size", "")
	if got := nb.value("import \"example.com/garage/car\"\ncar.Twice"); got != "14" {
		t.Errorf("%s", got)
	}
}

// Whoever changes go.mod while the notebook is open gets what it now says.
func TestGoModChanges(t *testing.T) {
	t.Setenv("GOWORK", "off")
	t.Setenv("GOFLAGS", "")
	dir := t.TempDir()
	write(t, dir, "one/go.mod", "module example.com/bolt\n")
	write(t, dir, "one/bolt.go", "package bolt\n\nfunc Name() string { return \"M6\" }\n")
	write(t, dir, "two/go.mod", "module example.com/bolt\n")
	write(t, dir, "two/bolt.go", "package bolt\n\nfunc Name() string { return \"M8 \" + Head }\n\nconst Head = \"hex\"\n")
	write(t, dir, "garage/note.txt", "")
	nb := openNotebook(t, filepath.Join(dir, "garage"))
	const use = "import \"example.com/bolt\"\nbolt.Name()"
	if r := nb.run(use, 0); r.Err == nil || !strings.Contains(r.Err.Hint, "a folder with go.mod") {
		t.Errorf("without a go.mod: %v", r.Err)
	}
	write(t, dir, "garage/go.mod", "module example.com/garage\n\ngo 1.26\n")
	if r := nb.run(use, 0); r.Err == nil || !strings.Contains(r.Err.Hint, "go get example.com/bolt\nabove the import") {
		t.Errorf("without the requirement: %v", r.Err)
	}
	write(t, dir, "garage/go.mod", "module example.com/garage\n\ngo 1.26\n\nrequire example.com/bolt v1.0.0\n\nreplace example.com/bolt => ../one\n")
	if got := nb.value(use); got != "M6" {
		t.Errorf("%s", got)
	}
	nb.ok("func name() string { return bolt.Name() }")
	write(t, dir, "garage/go.mod", "module example.com/garage\n\ngo 1.26\n\nrequire example.com/bolt v1.1.0\n\nreplace example.com/bolt => ../two/\n")
	if got := nb.value("name()"); got != "M6" {
		t.Errorf("before the import: %s", got)
	}
	r := nb.ok("import \"example.com/bolt\"")
	if len(r.Notices) != 1 || !strings.Contains(r.Notices[0], "package example.com/bolt has been loaded anew") {
		t.Errorf("notices: %q", r.Notices)
	}
	if got := nb.value("name() + bolt.Head"); got != "M8 hexhex" {
		t.Errorf("after the import: %s", got)
	}
}

// A recursive type and a generic one that holds it, from two packages: what
// well-known modules make pools of.
func TestPoolOfARecursiveType(t *testing.T) {
	nb, _ := moduleNotebook(t, map[string]string{
		"pool/pool.go":     "package pool\n\nimport \"sync\"\n\ntype Pool[T any] struct{ pool sync.Pool }\n\nfunc New[T any](fn func() T) *Pool[T] {\n\treturn &Pool[T]{pool: sync.Pool{New: func() any { return fn() }}}\n}\n\nfunc (p *Pool[T]) Get() T { return p.pool.Get().(T) }\n\nfunc (p *Pool[T]) Put(x T) { p.pool.Put(x) }\n",
		"buffer/buffer.go": "package buffer\n\nimport \"example.com/garage/pool\"\n\ntype Buffer struct {\n\tbs   []byte\n\tpool Pool\n}\n\nfunc (b *Buffer) Add(s string) string { b.bs = append(b.bs, s...); return string(b.bs) }\n\ntype Pool struct{ p *pool.Pool[*Buffer] }\n\nfunc NewPool() Pool {\n\treturn Pool{p: pool.New(func() *Buffer { return &Buffer{bs: make([]byte, 0, 8)} })}\n}\n\nfunc (p Pool) Get() *Buffer {\n\tb := p.p.Get()\n\tb.bs = b.bs[:0]\n\tb.pool = p\n\treturn b\n}\n",
	})
	if got := nb.value("import \"example.com/garage/buffer\"\np := buffer.NewPool()\np.Get().Add(\"x\")"); got != "x" {
		t.Errorf("%s", got)
	}
}

// versioned is a library of which one module's version is known.
type versioned struct{ precompiled.Library }

func (v versioned) Lookup(path string) *precompiled.Package {
	p := v.Library.Lookup(path)
	if p == nil || !strings.HasPrefix(path, "gonum.org/v1/gonum/") {
		return p
	}
	known := *p
	known.Module = "gonum.org/v1/gonum@v0.17.0"
	return &known
}

// A compiled package of another version than go.mod asks for is told, once.
func TestOtherVersionThanRequired(t *testing.T) {
	t.Setenv("GOWORK", "off")
	for mod, notices := range map[string]int{
		"require gonum.org/v1/gonum v0.0.1\n":  1,
		"require gonum.org/v1/gonum v0.17.0\n": 0,
		"":                                     0,
		"require gonum.org/v1/gonum v0.0.1\nreplace gonum.org/v1/gonum => gonum.org/v1/gonum v0.17.0\n": 0,
	} {
		dir := t.TempDir()
		write(t, dir, "go.mod", "module example.com/garage\n\ngo 1.26\n\n"+mod)
		e, err := New(Options{Library: versioned{symbols.Default()}, Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		nb := &notebookTest{t: t, e: e}
		for i, text := range []string{"import \"gonum.org/v1/gonum/floats\"\nfloats.Sum([]float64{1, 2})", "import (\"gonum.org/v1/gonum/stat\"; \"gonum.org/v1/gonum/floats\")\nstat.Mean([]float64{1, floats.Max([]float64{2})}, nil)"} {
			r := nb.ok(text)
			if want := max(notices-i, 0); len(r.Notices) != want || want > 0 && r.Notices[0] != "package gonum.org/v1/gonum/floats is compiled into the kernel as gonum.org/v1/gonum@v0.17.0; go.mod asks for gonum.org/v1/gonum@v0.0.1" {
				t.Errorf("%q, cell %d: %q", mod, i+1, r.Notices)
			}
		}
	}
}
