package interpreter

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// session for tests that run one cell after another.
type notebookTest struct {
	t testing.TB
	e *Interpreter
	n int
}

func newNotebook(t testing.TB) *notebookTest {
	e, err := New(Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	return &notebookTest{t: t, e: e}
}

// run executes a cell; after a while, if that is not 0, it is interrupted.
func (n *notebookTest) run(src string, after time.Duration) Result {
	n.t.Helper()
	n.n++
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	if after > 0 {
		defer time.AfterFunc(after, cancel).Stop()
	}
	return n.e.Execute(ctx, Cell{Name: fmt.Sprintf("cell %d", n.n), Source: src})
}

func (n *notebookTest) ok(src string) Result {
	n.t.Helper()
	r := n.run(src, 0)
	if r.Err != nil {
		n.t.Fatalf("%s\n%s", src, r.Err.Traceback())
	}
	return r
}

// value runs a cell and returns its values as fmt prints them.
func (n *notebookTest) value(src string) string {
	n.t.Helper()
	var out []string
	for _, v := range n.ok(src).Values {
		out = append(out, fmt.Sprint(v.Value))
	}
	return strings.Join(out, " ")
}

// Nothing that a cell does ends the process: each is an error of its kind on
// the right line, and the next cell runs.
func TestCellsCannotBringTheProcessDown(t *testing.T) {
	const soon = 50 * time.Millisecond
	nb := newNotebook(t)
	nb.ok(`import ("fmt"; "time"; "sync"; "os"; "log"; "runtime"; "strings"; "sort")`)
	for _, c := range []struct {
		src   string
		after time.Duration
		kind  Kind
		line  int
		text  string
	}{
		{"for {}", soon, Interrupted, 1, "interrupted"},
		{"for { func() {}() }", soon, Interrupted, 1, "interrupted"},
		{"time.Sleep(time.Hour)", soon, Interrupted, 1, "interrupted"},
		{"go func() { for {} }()\n<-make(chan int)", soon, Interrupted, 2, "interrupted"},
		{"sort.Slice(make([]int, 100), func(i, j int) bool { for {} })", soon, Interrupted, 1, "interrupted"},
		{"var m1 sync.Mutex\nm1.Lock()\ngo func() { for {} }()\nm1.Lock()", soon, Interrupted, 4, "interrupted"},
		{"\n<-make(chan int)", 0, Deadlock, 2, "all goroutines are asleep"},
		{"select {}", 0, Deadlock, 1, "all goroutines are asleep"},
		{"var mu sync.Mutex\nmu.Lock()\nmu.Lock()", 0, Deadlock, 3, "sync.Mutex.Lock"},
		{"var wg sync.WaitGroup\nwg.Add(1)\nwg.Wait()", 0, Deadlock, 3, "sync.WaitGroup.Wait"},
		{"func r(n int) int { return r(n+1) + 1 }\nr(0)", 0, LimitExceeded, 1, "stack overflow"},
		{"type S struct{}\nfunc (s S) String() string { return fmt.Sprint(s) }\nfmt.Sprint(S{})", 0, LimitExceeded, 2, "stack overflow"},
		{"make([]int, 1<<44)", 0, LimitExceeded, 1, "out of memory"},
		{"n := -1\nmake([]int, n)", 0, Panic, 2, "makeslice: len out of range"},
		{"go func() { panic(\"gone\") }()\ntime.Sleep(time.Minute)", 0, Panic, 1, "gone"},
		{"time.AfterFunc(time.Millisecond, func() { panic(\"timer\") })\ntime.Sleep(time.Minute)", 0, Panic, 1, "timer"},
		{"wg2 := new(sync.WaitGroup)\nwg2.Go(func() { panic(\"in Go\") })\nwg2.Wait()", 0, Panic, 2, "in Go"},
		{"func() { var g func(); defer g(); panic(1) }()", 0, Panic, 1, "nil pointer dereference"},
		{"os.Exit(4)", 0, Exit, 1, "exit status 4"},
		{"log.SetOutput(new(strings.Builder))\nlog.Fatal(1)", 0, Exit, 2, "exit status 1"},
		{"\nruntime.Goexit()", 0, Exit, 2, "Goexit"},
		{"var nm map[string]int\nnm[\"a\"] = 1", 0, Panic, 2, "assignment to entry in nil map"},
		{"c := make(chan int)\nclose(c)\nclose(c)", 0, Panic, 3, "close of closed channel"},
		{"sort.Slice([]int{3, 1, 2}, func(i, j int) bool {\n\tpanic(\"cmp\")\n})", 0, Panic, 2, "cmp"},
		{"mu2 := sync.Mutex{}\nmu2.Unlock()", 0, Panic, 2, "unlock of unlocked mutex"},
		{"var rw sync.RWMutex\nrw.Lock()\nrw.RUnlock()", 0, Panic, 3, "RUnlock of unlocked RWMutex"},
		{"var rw2 sync.RWMutex\nrw2.RLocker().Unlock()", 0, Panic, 2, "RUnlock of unlocked RWMutex"},
		{"cyclic := map[string]any{}\ncyclic[\"a\"] = cyclic\nfmt.Sprint(cyclic)", 0, Panic, 3, "contains itself"},
		{"loop := []any{nil}\nloop[0] = loop\nfmt.Sprintf(\"%v\", loop)", 0, Panic, 3, "contains itself"},
		{"strings.Repeat(\"ab\", 1<<44)", 0, LimitExceeded, 1, "out of memory"},
		{"x := 0\n1 / x", 0, Panic, 2, "integer divide by zero"},
		{"var p *struct{ n int }\np.n", 0, Panic, 2, "nil pointer dereference"},
		{"func f() { g() }\nfunc g() { panic(7) }\nf()", 0, Panic, 2, "panic: 7"},
	} {
		start := time.Now()
		r := nb.run(c.src, c.after)
		if c.after > 0 && time.Since(start) > c.after+2*time.Second {
			t.Errorf("%q: interrupted after %v", c.src, time.Since(start))
		}
		if r.Err == nil {
			t.Errorf("%q: no error", c.src)
			continue
		}
		if r.Err.Kind != c.kind || r.Err.Line != c.line || !strings.Contains(r.Err.Message, c.text) {
			t.Errorf("%q: %s, line %d: %s", c.src, r.Err.Kind, r.Err.Line, r.Err.Message)
		}
		if got := nb.value("1 + 1"); got != "2" {
			t.Errorf("after %q: 1 + 1 is %q", c.src, got)
		}
	}
}

func TestGoroutineThatDiesLaterIsTold(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("import \"time\"\ngo func() { time.Sleep(5 * time.Millisecond); panic(\"late\") }()")
	for range 200 {
		time.Sleep(5 * time.Millisecond)
		for _, n := range nb.ok("1").Notices {
			if strings.Contains(n, "late") && strings.Contains(n, "cell 1:2") {
				return
			}
		}
	}
	t.Error("the panic of the goroutine was not told")
}

func TestMapSharedByGoroutines(t *testing.T) {
	nb := newNotebook(t)
	got := nb.value(`import "sync"
m := map[int]int{}
var w sync.WaitGroup
for i := range 4 {
	w.Add(1)
	go func() {
		defer w.Done()
		for j := range 2000 {
			m[j] = i
		}
	}()
}
w.Wait()
len(m)`)
	if got != "2000" {
		t.Errorf("len(m) is %s", got)
	}
}

// A reader that holds a lock while a writer waits for it gives it back.
func TestReaderUnlocksWhileAWriterWaits(t *testing.T) {
	nb := newNotebook(t)
	if got := nb.value(`import ("sync"; "time")
var rw sync.RWMutex
rw.RLock()
rw.RLock()
wrote := make(chan bool)
go func() { rw.Lock(); rw.Unlock(); wrote <- true }()
time.Sleep(20 * time.Millisecond)
rw.RUnlock()
rw.RUnlock()
<-wrote`); got != "true" {
		t.Errorf("the writer got %s", got)
	}
}

// Memory taken bit by bit ends the cell, not the process, and is free again. On
// a busy machine a cell may stop late, and is not to be left behind here.
func TestMemoryInTotalIsLimited(t *testing.T) {
	e, err := New(Options{Library: symbols.Default(), Limits: Limits{Total: 1 << 30, Grace: time.Minute}})
	if err != nil {
		t.Fatal(err)
	}
	nb := &notebookTest{t: t, e: e}
	nb.ok("kept := 7")
	for _, src := range []string{
		"var list [][]byte\nfor {\n\tlist = append(list, make([]byte, 1<<16))\n}",
		"text := \"a\"\nfor {\n\ttext += text\n}",
		"func() {\n\tm := map[int][1000]int{}\n\tfor i := 0; ; i++ { m[i] = [1000]int{} }\n}()",
	} {
		r := nb.run(src, 0)
		if r.Err == nil || r.Err.Kind != LimitExceeded || r.Err.Line == 0 || !strings.Contains(r.Err.Message, "out of memory") {
			t.Errorf("%q: %v", src, r.Err)
		}
		nb.ok("list, text := 0, 0")
		if got := nb.value("kept"); got != "7" {
			t.Errorf("after %q: kept is %s", src, got)
		}
	}
}

// A cell that takes too much in one step that nothing can stop, and is left
// behind in it, is told the line of that step all the same.
func TestMemoryOfACellThatDoesNotStop(t *testing.T) {
	e, err := New(Options{Library: symbols.Default(), Limits: Limits{Total: 1 << 30, Grace: time.Nanosecond}})
	if err != nil {
		t.Fatal(err)
	}
	nb := &notebookTest{t: t, e: e}
	nb.ok(`import ("crypto/rand"; "io"; "slices")`)
	for _, c := range []struct {
		src  string
		line int
	}{
		{"text := \"a\"\nfor {\n\ttext += text\n}", 3},
		{"n := 0\nfor n >= 0 {\n\tslices.Repeat([]int{1}, 1<<26)\n}", 3},
		{"for {\n\tio.ReadAll(io.LimitReader(rand.Reader, 1<<30))\n}", 2},
	} {
		r := nb.run(c.src, time.Minute)
		if r.Err == nil || r.Err.Kind != LimitExceeded || r.Err.Line != c.line || !strings.Contains(r.Err.Message, "out of memory") {
			t.Errorf("%q: %v", c.src, r.Err)
		}
		nb.ok("text := 0")
	}
}

// Printing a map that another goroutine of the cell writes to would be a fatal
// error of the run time.
func TestMapPrintedWhileItIsWritten(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("encoding/json"; "fmt"; "sync/atomic")
m := map[int]int{}
var stop atomic.Bool
go func() { for j := 0; !stop.Load(); j++ { m[j&1023] = j; delete(m, j&511) } }()
for range 200 { _ = fmt.Sprint(m); _, _ = json.Marshal(m) }
stop.Store(true)`)
}

// A goroutine that a cell has left may be printing while it is alone, and the
// next cell begins to write.
func TestMapPrintedWhenACellBegins(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("fmt"; "sync/atomic"; "time")
m := map[int]int{}
for i := range 1_000_000 { m[i] = i }
var printing atomic.Bool
go func() {
	time.Sleep(50 * time.Millisecond) // the cell has ended
	printing.Store(true)
	_ = fmt.Sprint(m)
	printing.Store(false)
}()`)
	time.Sleep(70 * time.Millisecond)
	if got := nb.value("before := printing.Load()\nfor j := range 1_000_000 { m[j%1000] = j }\nbefore"); got != "true" {
		t.Skip("the goroutine came too late or too early")
	}
}

// The same for maps inside other values, and for those that the cell shows.
func TestValuesWithMapsPrintedWhileTheyAreWritten(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("encoding/json"; "fmt"; "io"; "sync/atomic")
type inner struct{ m map[int]int; M map[int]int }
type named struct{ inner inner; Next *named; n int }
func (n *named) String() string { n.n++; return "named" }
type Rig struct{ M map[int]int; Deep *Rig }
m := map[int]int{}
var stop atomic.Bool
go func() { for j := 0; !stop.Load(); j++ { m[j&255] = j; delete(m, j&127) } }()
list := []any{m, inner{m, m}, &inner{m, m}, [2]inner{{m, m}, {m, m}}, map[string]any{"m": m}, []map[int]int{m}}
own := []any{0}
own[0] = m
n := &named{inner: inner{m: m}}
rig := &Rig{m, &Rig{M: m}}
for i := range 20 {
	_ = fmt.Sprint(list...)
	_ = fmt.Sprintf("%v %+v", inner{m, m}, &inner{m, m})
	_ = fmt.Sprint(list, own, n)
	_, _ = json.Marshal(rig)
	_ = json.NewEncoder(io.Discard).Encode([]any{rig, i})
}`)
	for _, src := range []string{"m", "list", "rig", "&inner{m, m}", "inner{m, m}", "m, rig"} {
		for range 5 {
			for _, v := range nb.ok(src).Values {
				_ = fmt.Sprint(v.Value)
			}
		}
	}
	nb.ok("stop.Store(true)")
	if got := nb.value("n.n"); got != "20" {
		t.Errorf("String of n has counted %s calls", got)
	}
	// Addresses are those of the values, not of copies, and what is shared or
	// goes round is copied as such.
	for _, c := range []struct{ src, want string }{
		{"done := make(chan bool)\ngo func() { <-done }()\nfmt.Sprintf(\"%p\", m) == fmt.Sprintf(\"%p\", m)", "true"},
		{"p := &m\nfmt.Sprint([]any{p}) == fmt.Sprintf(\"[%p]\", p)", "true"},
		{"e := map[string]any{\"a\": map[float64]int{1: 2}, \"b\": []any{map[int]int(nil), nil}}\nfmt.Sprint(e)", "map[a:map[1:2] b:[map[] <nil>]]"},
		{"round := &Rig{M: map[int]int{1: 2}}\nround.Deep = round\n_, err := json.Marshal(round)\nerr != nil", "true"},
		{"close(done)\n1", "1"},
	} {
		if got := nb.value(c.src); got != c.want {
			t.Errorf("%s: %s, want %s", c.src, got, c.want)
		}
	}
	loop := nb.run("go func() { for !stop.Load() {} }()\nstop.Store(false)\nx := []any{1, 2}\nx[0], x[1] = x, x\nfmt.Sprint(x)", 0)
	if loop.Err == nil || !strings.Contains(loop.Err.Message, "contains itself") {
		t.Errorf("%v", loop.Err)
	}
	nb.ok("stop.Store(true)")
}
