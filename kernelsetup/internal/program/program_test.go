package program_test

import (
	"context"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/program"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

func fresh(t *testing.T) *interpreter.Interpreter {
	t.Helper()
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// write returns the program of some cells; it must compile.
func write(t *testing.T, cells ...string) (string, []string) {
	t.Helper()
	importer := precompiled.NewImporter(symbols.Default())
	p, err := program.Write(fresh(t), cells, program.Options{})
	if err != nil {
		t.Fatal(err)
	}
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "program.go", p.Source, 0)
	if err != nil {
		t.Fatalf("%v\n%s", err, p.Source)
	}
	config := types.Config{Importer: importer}
	if _, err := config.Check("main", fset, []*ast.File{file}, nil); err != nil {
		t.Fatalf("%v\n%s", err, p.Source)
	}
	return string(p.Source), p.Warnings
}

// Names that a cell takes back stand for something else in the program, or are
// Go's own again.
func TestWriteForgottenNames(t *testing.T) {
	for _, cells := range [][]string{
		{"len := 3", "forget len", "n := len(\"abc\")\nn"},
		{"string := \"x\"", "forget string", "var s string = \"y\"\ns"},
		{"true := false", "forget true", "if true { println(1) }"},
		{"import \"fmt\"\nfunc p() string { return fmt.Sprint(7) }", "fmt := 1", "forget fmt", "fmt.Sprint(p())"},
		{"type T struct{ n int }\nfunc (T) M() string { return \"m\" }", "forget T", "type T struct{}\nfunc (T) M() int { return 1 }\nT{}.M()"},
		{"type T struct{ n int }\nfunc (T) M() string { return \"m\" }", "forget T.M", "func (T) M() string { return \"n\" }\nT{}.M()"},
		{"x := 1\nf := func() int { return x }", "forget x", "x := \"s\"\nx + \"t\"", "f()"},
		{"x := 1", "forget x", "x := 2\nx"},
		{"func f() int { return 1 }\nfunc g() int { return f() }", "forget f", "func f() int { return 2 }", "g()"},
		{"func f() int { return 1 }\nfunc g() int { return f() }", "forget f", "func f() string { return \"2\" }\nf()", "func g() string { return f() }\ng()"},
		{"const (\n\tA = iota\n\tB\n)", "forget A", "const A, B = \"a\", \"b\"\nA + B"},
		{"import \"fmt\"\nx := fmt.Sprint(1)", "forget everything", "x := 1\nimport \"strings\"\nstrings.Repeat(\"a\", x)"},
		{"import . \"fmt\"\nx := Sprint(1)", "forget everything", "Sprint := 1\nSprint"},
		{"type T struct{}\nt := T{}\nfunc use() T { return T{} }", "forget T", "type T int\nvar u T = 3\nu", "t := 1\nt"},
		{"type G[T any] struct{ v T }\nfunc (g G[T]) Get() T { return g.v }\na := G[int]{1}", "forget G", "type G[K comparable, V any] map[K]V\nb := G[string, int]{}\nlen(b)"},
		{"list variables", "// why\nforget everything", "list running", "help fmt", "stop running"},
		{"func f() int { return 1 }\nfunc g() int { return f() }\nh := g", "// a note\nforget f", "h"},
	} {
		runs(t, cells)
		write(t, cells...)
	}
	_, err := program.Write(fresh(t), []string{"x := 1", "forget y"}, program.Options{})
	var e *program.Error
	if !errors.As(err, &e) || e.Cell != 2 || !strings.Contains(e.Error(), "there is no y to forget") {
		t.Errorf("%v", err)
	}
}

// runs checks that cells run.
func runs(t *testing.T, cells []string) {
	t.Helper()
	e := fresh(t)
	for i, c := range cells {
		if s, ok := meaning.Special(c); ok && s.Kind != meaning.Forget {
			continue
		}
		if r := e.Execute(context.Background(), interpreter.Cell{Name: fmt.Sprint("cell ", i+1), Source: c}); r.Err != nil {
			t.Fatalf("%q: %v", cells, r.Err)
		}
	}
}

// The whole suite of package equality, compiled and run, is the main test of
// this package; here is what it does not look at.
func TestWrite(t *testing.T) {
	for name, c := range map[string]struct {
		cells []string
		want  []string
		not   []string
	}{
		"imports merged and unused ones left out": {
			[]string{"import \"fmt\"\nimport \"os\"", "import \"fmt\"\nfmt.Println(1)"},
			[]string{"\"fmt\""}, []string{"\"os\"", "import (\n\t\"fmt\"\n\t\"fmt\""},
		},
		"two packages of one name": {
			[]string{"import \"math/rand\"\na := rand.Int()", "import \"math/rand/v2\"\nb := rand.Int()"},
			[]string{"\"math/rand\"", "rand_2 \"math/rand/v2\"", "b = rand_2.Int()"}, nil,
		},
		"a new type gives a new name": {
			[]string{"x := 1", "x := \"s\"", "y := x + \"t\""},
			[]string{"var x int", "var x_2 string", "y = x_2 + \"t\""}, nil,
		},
		"dependents are written again": {
			[]string{"x := 1\nfunc f() any { return x }\nfunc g() any { return f() }", "x := 2.5\nz := g()"},
			[]string{"func f_v2() any { return x_2 }", "func g_v2() any { return f() }", "fVersion = 2", "z = g()"}, nil,
		},
		"unused variables": {
			[]string{"func f() { a := 1 }\nfor i := range 3 { var b int }"},
			[]string{"_ = a", "_ = b"}, nil,
		},
		"last values": {
			[]string{"x := 1\nx", "x;", "import \"strconv\"\nstrconv.Atoi(\"1\")"},
			[]string{"notebook.Show(x)", "showOrFail(strconv.Atoi(\"1\"))"}, []string{"Show(x)\n}\n\nfunc cell2() {\n\tnotebook.Show"},
		},
		"pasted program": {
			[]string{"package main\nimport \"fmt\"\nfunc main() { fmt.Println(1) }"},
			[]string{"func main_2() { fmt.Println(1) }", "\tmain_2()\n"}, nil,
		},
	} {
		t.Run(name, func(t *testing.T) {
			source, _ := write(t, c.cells...)
			for _, w := range c.want {
				if !strings.Contains(source, w) {
					t.Errorf("no %q in\n%s", w, source)
				}
			}
			for _, n := range c.not {
				if strings.Contains(source, n) {
					t.Errorf("%q in\n%s", n, source)
				}
			}
		})
	}
}

// What runs and cannot be a program is refused, with the reason that
// docs/CELLS.md lists.
func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		cells  []string
		cell   int
		reason program.Reason
	}{
		"type of another package without a name": {[]string{"import \"encoding/binary\"", "order := binary.LittleEndian"}, 2, program.UnnamedType},
		"method with another signature":          {[]string{"type T struct{ n int }\nfunc (t T) M() int { return t.n }", "func (t T) M() string { return \"s\" }"}, 2, program.MethodChanged},
		"method with another receiver":           {[]string{"type T struct{ n int }\nfunc (t T) M() int { return t.n }", "func (t *T) M() int { return 2 }"}, 2, program.MethodChanged},
		"function that recovers":                 {[]string{"func f() { recover() }", "func f() { println(1) }"}, 1, program.RecoversDirectly},
		"unknown directive":                      {[]string{"x := 1", "//bonnetbook:fast\nx"}, 2, program.UnknownDirective},
	} {
		_, err := program.Write(fresh(t), c.cells, program.Options{})
		var e *program.Error
		var r *program.Refusal
		if !errors.As(err, &r) || r.Reason != c.reason || !errors.As(err, &e) || e.Cell != c.cell {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Who called a function or method before it was replaced calls the new one,
// also by a value of it; what a value was made with stays.
func TestVersions(t *testing.T) {
	source, warnings := write(t,
		"type T struct{ n int }\nfunc (t T) M() int { return t.n }\nfunc f(more ...int) (int, error) { return len(more), nil }\nsaved, meth := f, T{1}.M",
		"func f(more ...int) (int, error) { return -1, nil }\nfunc (t T) M() int { return -t.n }\nsaved(1, 2)",
		"total := T{1}", "total := T{total.M()}", "n, err := saved()\nn, err")
	for _, want := range []string{"func f(arg0 ...int) (int, error)", "return f_v2(arg0...)", "func (receiver T) M() int", "return receiver.version2OfM()",
		"fVersion = 2", "total = T{total.M()}", "showOrFail(n, err)"} {
		if !strings.Contains(source, want) {
			t.Errorf("no %q in\n%s", want, source)
		}
	}
	if len(warnings) > 0 {
		t.Errorf("warnings: %q", warnings)
	}
}

// Special cells and directives are part of the program, cells that may fail
// and do not compile say so.
func TestSpecialCells(t *testing.T) {
	source, _ := write(t, "$ echo a\n$ echo b", "help", "//bonnetbook:time\nx := 1")
	for _, want := range []string{`shell("echo a\necho b")`, `timed("cell 3", cell3)`} {
		if !strings.Contains(source, want) {
			t.Errorf("no %q in\n%s", want, source)
		}
	}
	p, err := program.Write(fresh(t), []string{"x := 1", "y := x + \"s\"", "x"}, program.Options{MayFail: []bool{false, true, false}})
	if err != nil || !strings.Contains(string(p.Source), "mismatched types") {
		t.Errorf("%v\n%s", err, p.Source)
	}
}

func TestWarnings(t *testing.T) {
	_, warnings := write(t, "x := 1\nfunc f() int { return x }", "x := \"s\"")
	if len(warnings) != 1 || !strings.Contains(warnings[0], "f no longer compiles") {
		t.Errorf("warnings: %q", warnings)
	}
}

func TestErrors(t *testing.T) {
	for _, c := range []struct {
		cells      []string
		cell, line int
		message    string
	}{
		{[]string{"x := 1", "\ny := x + \"s\""}, 2, 2, "mismatched types"},
		{[]string{"import \"no/such\""}, 1, 1, "no/such"},
		{[]string{"x := 1\n\nfunc f() int {\n\treturn undefinedName\n}"}, 1, 4, "undefined"},
		{[]string{"for {"}, 1, 1, ""},
		{[]string{"x := 1\nx := 2"}, 1, 2, "no new variables"},
	} {
		_, err := program.Write(fresh(t), c.cells, program.Options{})
		var e *program.Error
		if !errors.As(err, &e) || e.Cell != c.cell || e.Line != c.line || !strings.Contains(e.Error(), c.message) {
			t.Errorf("%q: got %v", c.cells, err)
		}
	}
}
