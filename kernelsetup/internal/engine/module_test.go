package engine

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

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
		{"unsafe", strings.Replace(wheelSource, "\"fmt\"", "\"fmt\"\nimport _ \"unsafe\"", 1), "wheel/wheel.go", "wheel/wheel.go:5:10: package example.com/garage/wheel: import \"unsafe\""},
		{"cycle", strings.Replace(wheelSource, "\"fmt\"", "\"fmt\"\nimport _ \"example.com/garage/car\"", 1), "wheel/wheel.go", "import cycle not allowed"},
		{"program", strings.Replace(wheelSource, "package wheel", "package main", 1), "wheel/wheel.go", "it is a program"},
		{"no Go files", "", "wheel/wheel.txt", "no buildable Go source files in wheel"},
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

// A package keeps its text while the notebook runs; that its files have
// changed is told at its next import.
func TestPackageOfTheModuleChangesOnDisk(t *testing.T) {
	nb, dir := moduleNotebook(t, map[string]string{"wheel/wheel.go": wheelSource, "car/car.go": carSource})
	const use = "import \"example.com/garage/car\"\ncar.New(1).Wheels[0].String()"
	if r := nb.ok(use); len(r.Notices) > 0 {
		t.Errorf("notices: %q", r.Notices)
	}
	write(t, dir, "wheel/wheel.go", strings.Replace(wheelSource, "wheel of %g m", "a wheel of %g metres", 1))
	r := nb.ok(use)
	if len(r.Notices) != 1 || r.Notices[0] != "package example.com/garage/wheel has changed since it was loaded: restart the kernel to use it as it is now" {
		t.Errorf("notices: %q", r.Notices)
	}
	if got := nb.value("car.New(1).Wheels[0].String()"); got != "wheel of 1 m" {
		t.Errorf("%s", got)
	}
	if got := openNotebook(t, dir).value(use); got != "a wheel of 1 metres" {
		t.Errorf("after a restart: %s", got)
	}
}
