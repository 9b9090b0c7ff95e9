package interpreter

import (
	"strings"
	"testing"
)

// A recursion is shown once and counted, through however many functions it
// goes; where it came from is shown.
func TestRecursionIsFolded(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"one function", `
func f(n int) int { if n == 0 { panic("end") }; return f(n-1) + 1 }
f(1000)`, `panic: end
  cell 1, line 2
     2 | func f(n int) int { if n == 0 { panic("end") }; return f(n-1) + 1 }
       |                                      ^
  called from f, cell 1, line 2
     2 | func f(n int) int { if n == 0 { panic("end") }; return f(n-1) + 1 }
  … 999 more calls
  called from the cell, cell 1, line 3
     3 | f(1000)`},
		{"two functions", `
func even(n int) bool { if n == 0 { panic("end") }; return odd(n-1) }
func odd(n int) bool { return even(n-1) }
even(1000)`, `panic: end
  cell 1, line 2
     2 | func even(n int) bool { if n == 0 { panic("end") }; return odd(n-1) }
       |                                          ^
  called from odd, cell 1, line 3
     3 | func odd(n int) bool { return even(n-1) }
  called from even, cell 1, line 2
     2 | func even(n int) bool { if n == 0 { panic("end") }; return odd(n-1) }
  … 998 more calls
  called from the cell, cell 1, line 4
     4 | even(1000)`},
		{"three functions, few calls", `
func a(n int) { if n == 0 { panic("end") }; b(n-1) }
func b(n int) { c(n-1) }
func c(n int) { a(n-1) }
a(9)`, `panic: end
  cell 1, line 2
     2 | func a(n int) { if n == 0 { panic("end") }; b(n-1) }
       |                                  ^
  called from c, cell 1, line 4
     4 | func c(n int) { a(n-1) }
  called from b, cell 1, line 3
     3 | func b(n int) { c(n-1) }
  called from a, cell 1, line 2
     2 | func a(n int) { if n == 0 { panic("end") }; b(n-1) }
  … 6 more calls
  called from the cell, cell 1, line 5
     5 | a(9)`},
		{"no recursion", `
func a() { panic("end") }
func b() { a() }
b()`, `panic: end
  cell 1, line 2
     2 | func a() { panic("end") }
       |                 ^
  called from b, cell 1, line 3
     3 | func b() { a() }
  called from the cell, cell 1, line 4
     4 | b()`},
	} {
		r := newNotebook(t).run(c.src, 0)
		if r.Err == nil {
			t.Errorf("%s: no error", c.name)
		} else if got := r.Err.Traceback(); got != c.want {
			t.Errorf("%s:\n%s\nwant:\n%s", c.name, got, c.want)
		}
	}
}

// Calls that do not repeat themselves are left out in the middle, counted.
func TestManyDifferentCallsAreCut(t *testing.T) {
	var src strings.Builder
	const n = 200
	for i := range n {
		name := func(i int) string { return "f" + strings.Repeat("x", i) }
		if i == n-1 {
			src.WriteString("func " + name(i) + "() { panic(1) }\n")
		} else {
			src.WriteString("func " + name(i) + "() { " + name(i+1) + "() }\n")
		}
	}
	r := newNotebook(t).run(src.String()+"f()", 0)
	if r.Err == nil {
		t.Fatal("no error")
	}
	got := r.Err.Traceback()
	if !strings.Contains(got, "  … 137 more calls\n") || !strings.HasSuffix(got, "   201 | f()") {
		t.Errorf("%s", got)
	}
}
