package interpreter

import (
	"fmt"
	"strings"
	"testing"
)

func TestFunctionsSeeWhatReplacesAName(t *testing.T) {
	nb := newNotebook(t)
	check := func(src, want string) {
		t.Helper()
		if got := nb.value(src); got != want {
			t.Errorf("%q is %q, want %q", src, got, want)
		}
	}
	nb.ok("func f(a int) int { return a + 1 }\nfunc g() int { return f(2) }")
	check("g()", "3")
	nb.ok("func f(a int) int { return a + 100 }")
	check("g()", "102")
	nb.ok("x := 5\nfunc px() any { return x }")
	check("px()", "5")
	nb.ok("x := 6")
	check("px()", "6")
	nb.ok("x := \"six\"")
	check("px()", "six")
	nb.ok("x := x + \"!\"")
	check("px()", "six!")
	nb.ok("const K = 3\nfunc kk() int { return K * 2 }")
	check("kk()", "6")
	nb.ok("const K = 10")
	check("kk()", "20")
	nb.ok("import m \"math\"")
	check("m.Sqrt(16)", "4")
	nb.ok("m := map[string]int{\"a\": 1}")
	check("m[\"a\"]", "1")
}

// A function that is declared again as it was rests on the types that its cell
// gives to variables.
func TestSameFunctionOnAnotherType(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("total := 1\nfunc apply(i int) int { return i + total }")
	if r := nb.run("func apply(i int) int { return i + total }\ntotal := \"s\"", 0); r.Err == nil || r.Err.Kind != TypeError {
		t.Errorf("the cell's own function does not compile, and the cell ran: %v", r.Err)
	}
	nb.ok("func text() any { return total }")
	nb.ok("func text() any { return total }\ntotal := 2.5")
	if got := nb.value("text()"); got != "2.5" {
		t.Errorf("text() is %s", got)
	}
}

// A cell with a function declared twice leaves nothing behind that the checker
// stumbles over later.
func TestDeclaredTwiceInACell(t *testing.T) {
	nb := newNotebook(t)
	for range 3 {
		if r := nb.run("func f() int { return g() }\nfunc f() int { return g() }\nfunc g() int { return h }\nvar h = 1", 0); r.Err == nil || r.Err.Kind != TypeError {
			t.Fatalf("declared twice: %v", r.Err)
		}
		if got := nb.value("1 + 1"); got != "2" {
			t.Fatalf("then 1 + 1 is %s", got)
		}
	}
}

// A function that has run sees each of several replacements of what it calls.
func TestFunctionsSeeEveryReplacement(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("type T struct{}\nfunc (T) m() int { return 0 }\nfunc f() int { return 0 }\nvar h = f\nfunc all() [4]int { return [4]int{f(), h(), T{}.m(), interface{ m() int }(T{}).m()} }")
	for i := range 4 {
		if i > 0 {
			nb.ok(fmt.Sprintf("func f() int { return %d }\nfunc (T) m() int { return %d }", i, i))
		}
		if got, want := nb.value("all()"), fmt.Sprint([4]int{i, i, i, i}); got != want {
			t.Errorf("after %d replacements: %s, want %s", i, got, want)
		}
	}
	nb.ok("func f(a string) int { return 9 }")
	if r := nb.run("all()", 0); r.Err == nil {
		t.Error("all() runs though f no longer fits")
	}
}

func TestWhatNoLongerCompilesIsNamed(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("func f(a int) int { return a }\nfunc g() int { return f(2) }")
	r := nb.ok("func f(a string) string { return a }")
	if len(r.Notices) != 1 || !strings.Contains(r.Notices[0], "function g no longer compiles") {
		t.Errorf("notices: %q", r.Notices)
	}
	if r := nb.run("g()", 0); r.Err == nil || !strings.Contains(r.Err.Hint, "no longer compiles") {
		t.Errorf("g() after that: %+v", r.Err)
	}
	nb.ok("func f(a int) int { return a * 3 }")
	if got := nb.value("g()"); got != "6" {
		t.Errorf("g() is %s once f fits again", got)
	}
}

func TestVariableOfAChangedTypeIsDropped(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("type T struct{ n int }\nt := []T{{1}}\nother := 3")
	nb.ok("type T struct{ n int }") // the same: nothing is lost
	if got := nb.value("t, other"); got != "[{1}] 3" {
		t.Errorf("t, other: %s", got)
	}
	r := nb.ok("type T struct{ n, m int }")
	if len(r.Notices) != 1 || !strings.Contains(r.Notices[0], "variable t is gone") {
		t.Errorf("notices: %q", r.Notices)
	}
	if got := nb.value("other"); got != "3" {
		t.Errorf("other: %s", got)
	}
}

func TestMethodsMayComeLaterThanTheirType(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("import \"fmt\"\ntype T struct{ n int }\nt := T{3}\nts := []T{{1}, {2}}\nfunc show() string { return fmt.Sprint(t, ts) }")
	for _, c := range []struct{ cell, want string }{
		{"", "{3} [{1} {2}]"},
		{"func (t T) String() string { return fmt.Sprint(\"T\", t.n) }", "T3 [T1 T2]"},
		{"func (t T) String() string { return fmt.Sprint(\"U\", t.n) }", "U3 [U1 U2]"},
		{"func (t *T) Inc() { t.n++ }\nt.Inc()", "U4 [U1 U2]"},
	} {
		nb.ok(c.cell)
		if got := nb.value("show()"); got != c.want {
			t.Errorf("after %q: %s, want %s", c.cell, got, c.want)
		}
	}
}

func TestFailedCellChangesNothing(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("type T int\nfunc (t T) A() int { return 1 }\nx := T(4)")
	for _, bad := range []string{
		"x := \"text\"\nundefinedName",
		"func (t T) B() int { return \"no\" }",
		"func (t T) A() string { return 1 }",
		"type T string\nvar y int = \"no\"",
		"import \"no/such/package\"\nx := 5",
	} {
		if r := nb.run(bad, 0); r.Err == nil {
			t.Errorf("%q: no error", bad)
		}
	}
	if got := nb.value("x, x.A()"); got != "4 1" {
		t.Errorf("x, x.A(): %s", got)
	}
	nb.ok("func (t T) B() int { return 2 }") // not declared by the failed cell
	if got := nb.value("x.B()"); got != "2" {
		t.Errorf("x.B(): %s", got)
	}
}

func TestErrorsPointAndHint(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("strings"; "sync"; "github.com/bonnetbook/bonnetbook/pkg/quantity")
length := 3
type Body struct{ Type string }
type Car struct {
	Body
	Drive int
	Name  string
}
func (c *Car) Start() {}
var c Car
var _ sync.Mutex
var _ quantity.Temperature`)
	for _, c := range []struct {
		src          string
		line, column int
		message      string
		hint         string
	}{
		{"\nmath.Sqrt(2)", 2, 1, "undefined: math", `import "math"`},
		{"lenght + 1", 1, 1, "undefined: lenght", "did you mean length?"},
		{"strings.ToUper(\"x\")", 1, 9, "undefined: strings.ToUper", "did you mean strings.ToUpper?"},
		{"x := 1 +", 1, 9, "syntax error: expected operand, found the end of the cell", ""},
		{"if true {\n", 2, 1, "syntax error", "not closed"},
		{"a, b := 1, 2\na := 3", 2, 3, "no new variables on left side of :=", ""},
		{"import \"no/such/text\"", 1, 8, "package no/such/text is not available", "built in"},
		{"import \"C\"", 1, 8, "cannot be run in a notebook", ""},
		{"var f float64 = 1.5\nvar n int = 2\nf * n", 3, 1, "mismatched types float64 and int", "convert one of them"},
		{"s := \"abc", 1, 6, "not terminated", "closing quotation mark"},
		{"c := 'abc'", 1, 6, "rune literal", "double quotes"},
		{"import fmt", 1, 11, "missing import path", "in quotes"},
		{"if length = 3 { }", 1, 4, "found assignment", "write =="},
		{"y := length++", 1, 12, "found '++'", "statements of their own"},
		{"for i in []int{1} { }", 1, 7, "found in", "range"},
		{"int x = 5", 1, 5, "syntax error", "type follows the name"},
		{"if length > 2 println(1)", 1, 15, "syntax error", "braces"},
		{"b := 1\nb := 2", 2, 3, "no new variables", "write ="},
		{"\"a\" + length", 1, 1, "", "fmt.Sprint"},
		{"length * 1.5", 1, 10, "truncated", "float64(n)"},
		{"int(\"5\")", 1, 5, "cannot convert", "strconv.Atoi"},
		{"type P struct{}\nfunc need(p *P) {}\nneed(P{})", 3, 6, "cannot use", "put & before P{}"},
		{"type Q struct{}\nvar q Q = &Q{}", 2, 11, "cannot use", "A value is wanted"},
		{"func two() (int, error) { return 1, nil }\nt := two()", 2, 6, "assignment mismatch: 1 variable but two returns 2 values", "x, err := f()"},
		{"func two() (int, error) { return 1, nil }\nu, v, w := two()", 2, 12, "assignment mismatch: 3 variables but two returns 2 values", "as many variables"},
		{"func none() {}\nn := none()", 2, 6, "none() (no value) used as value", "on a line alone"},
		{"[]int{1}.len()", 1, 10, "undefined", "len(x)"},
		{"[]int{1}.append(2)", 1, 10, "undefined", "x = append(x, value)"},
		{"c.Drvie", 1, 3, "has no field or method Drvie", "did you mean Drive?"},
		{"c.Strat()", 1, 3, "has no field or method Strat", "did you mean Start?"},
		{"(&c).Strat()", 1, 6, "has no field or method Strat", "did you mean Start?"},
		{"c.Tpye", 1, 3, "has no field or method Tpye", "did you mean Type?"},
		{"var b strings.Builder\nb.WritString(\"\")", 2, 3, "has no field or method WritString", "did you mean WriteString?"},
		{"Car{Nmae: \"x\"}", 1, 5, "unknown field Nmae", "did you mean Name?"},
		{"map[string]*Car{\"a\": {Drvie: 1}}", 1, 23, "unknown field Drvie", "did you mean Drive?"},
		{"car{}", 1, 1, "undefined: car", "did you mean Car?"},
		{"ynew = 5", 1, 1, "undefined: ynew", "use := to make a new variable"},
		{"func() { ynew = 5 }()", 1, 10, "undefined: ynew", "use := to make a new variable"},
		{"ynew++", 1, 1, "undefined: ynew", "ynew := 0"},
		{"lenght = 5", 1, 1, "undefined: lenght", "did you mean length?"},
		{"amount := 2\namuont * 3", 2, 1, "undefined: amuont", "did you mean amount?"},
		{"func f()\n{\n}", 2, 1, "unexpected semicolon or newline before {", "end of the same line"},
		{"if length > 2\n{\n}", 1, 14, "unexpected newline", "end of the same line"},
		{"for range 3\n{\n}", 1, 12, "found newline", "end of the same line"},
		{"func f() int", 1, 6, "missing function body", ""},
		{"def f(x):\n  return x", 1, 5, "syntax error", "func f(x int) int"},
		{"quantity.Celsius(20) + quantity.Celsius(5)", 1, 1, "operator + not defined", "Two temperatures cannot be added"},
		{"func warm(by quantity.TemperatureDifference) {}\nwarm(quantity.Celsius(5))", 2, 6, "cannot use", "two kinds of quantity"},
		{"\n<-make(chan int)", 2, 1, "deadlock! (chan receive)", "Nobody is left to send"},
		{"make(chan int) <- 1", 1, 16, "deadlock! (chan send)", "Nobody is left to receive"},
		{"select {}", 1, 1, "deadlock! (select (no cases))", "waits for ever"},
		{"select {\ncase <-make(chan int):\ncase <-make(chan bool):\n}", 1, 1, "deadlock! (select)", "any of the channels"},
		{"var mu sync.Mutex\nmu.Lock()\nmu.Lock()", 3, 8, "deadlock! (sync.Mutex.Lock)", "cannot lock twice"},
		{"var wg sync.WaitGroup\nwg.Add(1)\nwg.Wait()", 3, 8, "deadlock! (sync.WaitGroup.Wait)", "Done"},
	} {
		r := nb.run(c.src, 0)
		if r.Err == nil {
			t.Errorf("%q: no error", c.src)
			continue
		}
		e := r.Err
		if e.Line != c.line || e.Column != c.column || !strings.Contains(e.Message, c.message) || !strings.Contains(e.Hint, c.hint) {
			t.Errorf("%q: %d:%d %s\nhint: %s", c.src, e.Line, e.Column, e.Message, e.Hint)
		}
	}
}
