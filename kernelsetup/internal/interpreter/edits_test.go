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

// live is how much memory is in use.
func live() float64 {
	for range 3 { // what waits for cleanups is gone then
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
