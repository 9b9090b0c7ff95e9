package meaning

import (
	"go/token"
	"testing"
)

func TestCompletenessOfSpecialCells(t *testing.T) {
	for _, c := range []struct {
		text string
		want State
	}{
		{"$ ls", Complete}, {"$ ls \\", Incomplete}, {"$ ls \\\n  -l", Complete},
		{"help strings.Cut", Complete}, {"help", Complete}, {"//bonnetbook:time", Complete},
		{"// all\n$ echo {", Complete}, {"x := 1\n$ ls", Invalid}, {"help me now", Invalid},
	} {
		if got, _ := Completeness(c.text); got != c.want {
			t.Errorf("%q is %d, want %d", c.text, got, c.want)
		}
	}
}

// A cell is cut into steps in the order of its text, and shows what stands
// last.
func TestRead(t *testing.T) {
	for _, c := range []struct {
		text         string
		steps, shown int
		vars         int
	}{
		{"x := 1\nx", 2, 1, 1},
		{"x := 1\nx;", 2, 1, 1},
		{"a, b", 1, 2, 0},
		{"a, b := b, a", 1, 0, 1},
		{"x\nvar y = 2", 2, 0, 0},
		{"live := live + 1", 1, 0, 0},
		{"live := func() int { return live }", 1, 0, 1},
		{"f()\nfunc f() {}\nf()", 2, 1, 0},
		{"for i := 0; i < 3; i++ { a, b = b, a }", 1, 0, 0},
		{"var a, b = 1, 2\na, c := 3, 4", 2, 0, 1},
	} {
		p := NewPlaces(token.NewFileSet())
		src, errs := p.Parse("cell", c.text)
		if len(errs) > 0 {
			t.Errorf("%q: %v", c.text, errs)
			continue
		}
		cell, problem := p.Read(src, func(name string) bool { return name == "live" })
		if problem != nil {
			t.Errorf("%q: %s", c.text, problem.Message)
			continue
		}
		if len(cell.Steps) != c.steps || len(cell.Show) != c.shown || len(cell.Vars) != c.vars {
			t.Errorf("%q: %d steps, %d shown, %d declarations; want %d, %d, %d", c.text,
				len(cell.Steps), len(cell.Show), len(cell.Vars), c.steps, c.shown, c.vars)
		}
	}
}

func TestForgetLine(t *testing.T) {
	for _, c := range []struct {
		cell  string
		names int
		ok    bool
	}{
		{"forget len", 1, true},
		{"  forget a, b.C  d\n", 3, true},
		{"// why\nforget a;", 1, true},
		{"forget everything", 0, true},
		{"forget", 0, false},
		{"forget()", 0, false},
		{"forget := 3", 0, false},
		{"forget a\nb := 1", 0, false},
	} {
		got, _ := Special(c.cell)
		if ok := got.Kind == Forget; ok != c.ok || len(got.Names) != c.names {
			t.Errorf("%q: %+v", c.cell, got)
		}
	}
}
