package interpreter

import (
	"fmt"
	"os"
	"runtime"
	"testing"
)

// Editing a type's methods again and again does not use anything up.
func TestManyEditsOfMethods(t *testing.T) {
	n := 300
	if os.Getenv("BONNETBOOK_HOSTILE") != "" {
		n = 10_000
	}
	nb := newNotebook(t)
	nb.ok("import \"fmt\"\ntype T struct { x int }\nfunc (t T) String() string { return \"first\" }\nv := T{1}\ntype S interface { M() int }")
	for i := range n {
		nb.ok(fmt.Sprintf("func (t T) String() string { return fmt.Sprint(%d, t.x) }\nfunc (t *T) M() int { return %d }", i, i))
		if i%50 != 49 {
			continue
		}
		if got := nb.value("fmt.Sprint(v, S(&v).M())"); got != fmt.Sprintf("%d 1 %d", i, i) {
			t.Fatalf("after %d edits: %s", i, got)
		}
	}
}

// An edit costs what it changes, and not what was edited before: run it with
// -benchtime 1000x and 10000x.
func BenchmarkEditOfMethods(b *testing.B) {
	nb := newNotebook(b)
	nb.ok("import \"fmt\"\ntype T struct { x int }\nfunc (t T) String() string { return \"first\" }\nv := T{1}\ntype S interface { M() int }")
	before := live()
	b.ResetTimer()
	for i := range b.N {
		nb.ok(fmt.Sprintf("func (t T) String() string { return fmt.Sprint(%d, t.x) }\nfunc (t *T) M() int { return %d }", i, i))
	}
	b.StopTimer()
	b.ReportMetric((live()-before)/float64(b.N), "B-kept/op")
}

// What an edit leaves is little more than its text.
func TestEditsLeaveLittle(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("import \"fmt\"\ntype T struct { x int }\nfunc (t T) String() string { return \"first\" }\nfunc f() int { return -1 }\nv := T{1}\ntype S interface { M() int }")
	edit := func(from, to int) {
		for i := from; i < to; i++ {
			nb.ok(fmt.Sprintf("func (t T) String() string { return fmt.Sprint(%d, t.x) }\nfunc (t *T) M() int { return %d }\nfunc f() int { return %d }", i, i, i))
		}
	}
	edit(0, 100) // tables that grow by doubling have grown then
	before := live()
	edit(100, 600)
	if kept := (live() - before) / 500; kept > 3000 { // 10 kB for two methods when old ones were kept
		t.Errorf("an edit leaves %.0f bytes", kept)
	}
	if got := nb.value("fmt.Sprint(v, S(&v).M(), f())"); got != "599 1 599 599" {
		t.Error(got)
	}
}

// A cell that is run again and again leaves next to nothing: not the code it
// replaces, nor what the checker knows of it, nor where it was parsed.
func TestCellsLeaveLittle(t *testing.T) {
	for name, cell := range map[string]string{
		"variable":     "n := %d\nn",
		"method":       "type Reading struct{ Seconds, Celsius float64 }\nfunc (r Reading) Kelvin() float64 { return r.Celsius + 273.15 + %d*0 }\nr := Reading{1, 20}\nr.Kelvin()",
		"generic":      "func double[T int | float64](x T) T { return 2*x + %d*0 }\ndouble(n) + int(double(1.5))",
		"generic type": "type Box[T any] struct{ v T }\nfunc (b Box[T]) Get() T { _ = %d; return b.v }\nBox[int]{n}.Get()",
		"literal":      "counter := func() func() int { c := %d; return func() int { c++; return c } }()\ncounter()",
		"import":       "import \"strings\"\nwords := strings.Fields(\"a rise in the bay\")\nlen(words) + 0*%d",
		"goroutines":   "done := make(chan int)\nfor i := range 5 { go func() { done <- i }() }\nsum := 0*%d\nfor range 5 { sum += <-done }\nsum",
		"map":          "m := map[string][]float64{\"a\": {1, 2}}\nlen(m[\"a\"]) + 0*%d",
		"failing":      "[]int{}[n+%d]",
		"mistaken":     "n + \"%d\"",
	} {
		t.Run(name, func(t *testing.T) {
			nb := newNotebook(t)
			nb.ok("n := 0")
			again := func(from, to int) {
				for i := from; i < to; i++ {
					nb.run(fmt.Sprintf(cell, i), 0)
				}
			}
			rest := func() float64 {
				for range 3 { // what was collected is forgotten by the next cell
					live()
					nb.ok("n")
				}
				return live()
			}
			again(0, 200) // tables that grow by doubling have grown then
			before := rest()
			again(200, 600)
			most := 1000.0
			if name == "generic type" { // whose run-time types are made anew, and stay
				most = 3000
			}
			if kept := (rest() - before) / 400; kept > most {
				t.Errorf("a cell leaves %.0f bytes", kept)
			} else {
				t.Logf("%.0f bytes", kept)
			}
		})
	}
}

// Methods that nobody has called find what they are now, also through types
// that embed theirs, when the edits before have been forgotten.
func TestUncalledMethodsOfManyEdits(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import "fmt"
type T struct{ x int }
func (t T) M() int { return -1 }
func (t *T) P() int { return -2 }
type U struct{ T }
type V[A any] struct{ *T; a A }
type S interface { M() int }
func G[A any](a A) string { return fmt.Sprint(a, T{}.M(), h()) }
func h() int { return -3 }
values := []any{T{1}, &T{2}, U{T{3}}, &U{T{4}}, V[int]{T: &T{5}}}
m, p := T.M, (*T).P
bound := values[1].(S).M`)
	for i := range 30 {
		nb.ok(fmt.Sprintf("func (t T) M() int { return t.x*100 + %d }\nfunc (t *T) P() int { return %d }\nfunc h() int { return %d }", i, i, i))
		if i%10 == 9 {
			live()
		}
	}
	if got := nb.value(`var got []int
for _, v := range values { got = append(got, v.(S).M()); if p, ok := v.(interface{ P() int }); ok { got = append(got, p.P()) } }
fmt.Sprint(got, m(T{6}), p(nil), bound(), G("g"), G(1.5))`); got != "[129 229 29 329 429 29 529 29] 629 29 229g29 291.5 29 29" {
		t.Error(got)
	}
	// Another signature: values made before go on with the last that fitted.
	nb.ok("func (t T) M() string { return \"new\" }")
	if got := nb.value("T{}.M() + U{}.M()"); got != "newnew" {
		t.Error(got)
	}
}

// live is how much memory is in use.
func live() float64 {
	for range 10 { // what waits for cleanups, and what waits for that, is gone then
		runtime.GC()
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc)
}

// A caller that was compiled when the first of many was there, a method value
// and a closure made on the way run what they should.
func TestOldCallersOfManyEdits(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("import \"fmt\"\ntype T struct{ x int }\nfunc (t T) M() int { return -1 }\nfunc f() int { return -1 }\nfunc caller() int { return f()*100 + T{1}.M() }\nfunc idle() int { return f() }")
	nb.ok("caller()")
	for i := range 40 {
		nb.ok(fmt.Sprintf("func f() int { return %d }\nfunc (t T) M() int { return %d }", i, i))
		switch i {
		case 10:
			nb.ok("value, method, made := f, T{1}.M, func() int { return f() }")
		case 15:
			nb.ok("value() + method() + made() + caller()")
		case 20: // f no longer compiles for a while
			nb.ok("func f() int { return gone }\nvar gone = 1")
			nb.ok("gone := \"text\"")
			if r := nb.run("caller()", 0); r.Err == nil {
				t.Fatal("a function that does not compile was called")
			}
			nb.ok("gone := 1")
		}
	}
	if got := nb.value("fmt.Sprint(value(), method(), made(), caller(), idle())"); got != "39 39 39 3939 39" {
		t.Error(got)
	}
}
