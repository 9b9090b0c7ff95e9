package interpreter

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// A notebook is asked for names and types while its cells run, replace
// functions, leave goroutines behind and are interrupted; make race looks at
// this closely.
func TestQuestionsWhileCellsRun(t *testing.T) {
	e, err := New(Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	stop := make(chan struct{})
	var asking sync.WaitGroup
	for _, cell := range []string{"x := f(2)\nfmt.Sprint(x, T{}.m())", "type T struct{ n int }\nfunc (t T) m() string { return f(t.n) }\nfunc f(n int) string { return \"\" }\nwg := T{1}"} {
		asking.Add(1)
		go func() {
			defer asking.Done()
			for {
				select {
				case <-stop:
					return
				default:
				}
				e.Check(cell)
				e.Imports()
				e.Symbols()
				e.Package("strings")
			}
		}()
	}
	nb := &notebookTest{t: t, e: e}
	nb.ok("import (\"fmt\"; \"sync\"; \"time\")\ntype T struct{}")
	for i := range 15 {
		nb.ok(fmt.Sprintf("func f(n int) int { return n + %d }\nfunc (T) m() int { return f(%d) }\nfmt.Sprint(T{}.m(), f(1))", i, i))
		nb.ok("var wg sync.WaitGroup\nvar mu sync.Mutex\nsum := 0\nfor i := range 4 {\n\twg.Add(1)\n\tgo func() {\n\t\tdefer wg.Done()\n\t\tfor range 50 { mu.Lock(); sum += f(i); mu.Unlock() }\n\t}()\n}\nwg.Wait()")
		nb.ok("go func() { time.Sleep(time.Millisecond); panic(fmt.Sprint(f(1))) }()") // dies while others run
		if r := nb.run("for { f(1) }", 3*time.Millisecond); r.Err == nil || r.Err.Kind != Interrupted && !strings.Contains(r.Err.Message, "goroutine") {
			t.Errorf("%v", r.Err)
		}
		if r := nb.run("func r(n int) int { return r(n+1) + 1 }\nr(0)", time.Millisecond); r.Err == nil {
			t.Error("no error")
		}
		nb.ok(fmt.Sprintf("type S%d struct{ T; next *S%d }\nfunc (s *S%d) String() string { return fmt.Sprint(s.m()) }\nfor range 3 { go func() { time.Sleep(time.Millisecond); fmt.Sprint(&S%d{}, T{}) }() }\nfmt.Sprint(any(&S%d{}).(fmt.Stringer))", i, i, i, i, i))
		if r := nb.run("panic(f(1))", 0); r.Err == nil || r.Err.Kind != Panic {
			t.Errorf("%v", r.Err)
		}
	}
	close(stop)
	asking.Wait()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if r := e.Execute(ctx, Cell{Name: "last", Source: "f(1)"}); r.Err != nil || fmt.Sprint(r.Values[0].Value) != "15" {
		t.Errorf("%+v", r)
	}
}

// Methods of which nobody has made a function yet are called by a goroutine
// that goes on while cells begin and end; make race looks at this closely.
func TestFirstCallsOfMethodsBesideCells(t *testing.T) {
	e, err := New(Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	nb := &notebookTest{t: t, e: e}
	var types, values strings.Builder
	for i := range 60 {
		fmt.Fprintf(&types, "type T%d struct{ n int }\nfunc (t T%d) String() string { return fmt.Sprint(t.n) }\ntype S%d struct{ T%d }\n", i, i, i, i)
		fmt.Fprintf(&values, "&S%d{T%d{%d}},\n", i, i, i)
	}
	nb.ok("import (\"fmt\"; \"sync/atomic\")\n" + types.String())
	nb.ok("var seen atomic.Int64\ndone := make(chan string)\ngo func() {\n\ttext := \"\"\n\tfor _, v := range []any{\n" + values.String() +
		"\t} {\n\t\tfor n := seen.Load(); seen.Load() == n; {}\n\t\ttext += fmt.Sprint(v) + \" \"\n\t}\n\tdone <- text\n}()")
	for i := range 60 {
		nb.ok(fmt.Sprintf("seen.Add(1)\nx%d := %d\nx%d", i, i, i))
	}
	want := ""
	for i := range 60 {
		want += fmt.Sprint(i, " ")
	}
	if got := nb.value("func() string { for { select { case s := <-done: return s; default: seen.Add(1) } } }()"); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
