package meaning

import (
	"go/ast"
	"go/token"
	"os"
	"path"
	"slices"
	"strconv"
	"testing"
)

// A cell "use bonnetbook" imports every package of the library, and two names
// are never the same.
func TestUse(t *testing.T) {
	entries, err := os.ReadDir("../../../pkg")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"."}
	for _, e := range entries {
		if e.IsDir() && e.Name() != "internal" && e.Name() != "notebook" {
			want = append(want, e.Name())
		}
	}
	for _, p := range openedOfGo {
		want = append(want, map[bool]string{true: "rand", false: path.Base(p)}[p == "math/rand/v2"])
	}
	var got []string
	for _, imp := range importsOf(t, "// the library\nuse bonnetbook\n") {
		name, err := strconv.Unquote(imp.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case imp.Name != nil:
			got = append(got, imp.Name.Name)
		case name == "math/rand/v2":
			got = append(got, "rand")
		default:
			got = append(got, path.Base(name))
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(want, got) {
		t.Errorf("imported are\n%v, want\n%v", got, want)
	}
	if len(slices.Compact(got)) != len(want) {
		t.Errorf("a name stands twice in %v", got)
	}
}

// Whatever is not that line alone is Go, or wrong.
func TestUseAlone(t *testing.T) {
	for text, want := range map[string]State{
		"use bonnetbook": Complete, " use  bonnetbook ;\n": Complete, "//bonnetbook:time\nuse bonnetbook": Complete,
		"use bonnetbook\nx := 1": Invalid, "use the library": Invalid, "use := 3": Complete, "use": Complete,
	} {
		if got, _ := Completeness(text); got != want {
			t.Errorf("%q is %d, want %d", text, got, want)
		}
	}
	if Foreign("use gonum") == "" {
		t.Error("no hint for another library")
	}
}

// importsOf returns the imports of a cell, all of which lie within its text.
func importsOf(t *testing.T, text string) []*ast.ImportSpec {
	t.Helper()
	p := NewPlaces(token.NewFileSet())
	src, errs := p.Parse("cell", text)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	c, problem := p.Read(src, func(string) bool { return false })
	if problem != nil || len(c.Steps) > 0 || len(c.Show) > 0 {
		t.Fatal(problem, c)
	}
	for _, imp := range c.Imports {
		if at := p.Offset(imp.Pos()); at < 0 || at > len(text) {
			t.Errorf("%s lies at %d of a cell of %d", imp.Path.Value, at, len(text))
		}
	}
	return c.Imports
}
