package supervisor_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/supervisor"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// The test binary is also the program that runs cells.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == supervisor.Word {
		conn, err := supervisor.Connect(os.Args[2:])
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		ev, err := repl.New("")
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		worker.Serve(ev, conn)
		supervisor.Leave()
	}
	os.Exit(m.Run())
}

// front is a front end that remembers what it was told.
type front struct {
	t *testing.T
	*supervisor.Supervisor
	n int

	mu    sync.Mutex
	text  map[string]string
	shown []string
	lost  []string
	lines []string // answers to questions
}

func start(t *testing.T) *front {
	t.Helper()
	s, err := supervisor.Start(supervisor.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := &front{t: t, Supervisor: s, text: map[string]string{}}
	if err := s.Attach(f); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Stop)
	return f
}

func (f *front) Stream(name, text string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.text[name] += text
}

func (f *front) Late(cell, stream, text string) {
	if stream == "stderr" {
		cell += " stderr"
	}
	f.Stream(cell, text)
}

func (f *front) show(how string, b notebook.Bundle) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.shown = append(f.shown, fmt.Sprintf("%s %s after %q", how, b.Text(), f.text["stdout"]))
}

func (f *front) Display(b notebook.Bundle, _ string)                             { f.show("display", b) }
func (f *front) Update(b notebook.Bundle, _ string)                              { f.show("update", b) }
func (f *front) Clear(bool)                                                      {}
func (f *front) OpenComm(string, string, json.RawMessage, json.RawMessage) error { return nil }
func (f *front) SendComm(string, json.RawMessage) error                          { return nil }
func (f *front) CloseComm(string) error                                          { return nil }

func (f *front) Ask(context.Context) (string, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.lines) == 0 {
		return "", errors.New("nobody is there")
	}
	line := f.lines[0]
	f.lines = f.lines[1:]
	return line, nil
}

func (f *front) Lost(l execution.Loss) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if l.Text != "" {
		f.lost = append(f.lost, l.Text)
	}
}

func (f *front) losses() []string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return append([]string(nil), f.lost...)
}

func (f *front) run(code string) execution.Outcome {
	f.n++
	return f.Run(context.Background(), execution.Source{Name: fmt.Sprint("cell ", f.n), Text: code}, execution.Terms{Ask: true})
}

func (f *front) ok(code string) string {
	f.t.Helper()
	o := f.run(code)
	if o.Failure != nil {
		f.t.Fatalf("%s\n%v", code, o.Failure)
	}
	return o.Result.Text()
}

// is checks what an expression is.
func (f *front) is(code, want string) {
	f.t.Helper()
	if got := f.ok(code); got != want {
		f.t.Errorf("%s is %s, want %s", code, got, want)
	}
}

// hangs is what no answer may take on any machine, however busy.
const hangs = time.Minute

// becomes waits until something is so, and reports whether it ever was.
func becomes(so func() bool) bool {
	for end := time.Now().Add(hangs); !so(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			return false
		}
	}
	return true
}

// dies checks that a cell's process dies, and that the words are in what is
// told about it.
func (f *front) dies(code string, words ...string) string {
	f.t.Helper()
	begun := time.Now()
	o := f.run(code)
	took := time.Since(begun)
	if o.Failure == nil || !o.Died {
		f.t.Fatalf("%s\ndid not die: %+v", code, o)
	}
	text := o.Failure.Error()
	for _, w := range words {
		if !strings.Contains(text, w) {
			f.t.Errorf("%s\nis told without %q:\n%s", code, w, text)
		}
	}
	if took > hangs {
		f.t.Errorf("%s\nwas told after %v", code, took)
	}
	return text
}

// settle waits until the notebook has been saved.
func (f *front) settle() {
	f.t.Helper()
	if !becomes(func() bool { return f.SavedAfter() == fmt.Sprint("cell ", f.n) }) {
		f.t.Fatalf("not saved after cell %d but %s", f.n, f.SavedAfter())
	}
}

func TestCellsRunInAnotherProcess(t *testing.T) {
	f := start(t)
	f.is("import \"os\"\nx := 6 * 7\nx", "42")
	f.is("x + 1", "43")
	if pid := f.ok("os.Getpid()"); pid == fmt.Sprint(os.Getpid()) {
		t.Error("it is this process")
	}
	if o := f.run("y"); o.Failure == nil || o.Died || !strings.Contains(o.Failure.Error(), "undefined: y") {
		t.Errorf("%+v", o)
	}
	if c := f.Complete("os.Getpi", 8); len(c.Matches) != 1 {
		t.Errorf("%v", c)
	}
	if b, ok := f.Inspect("x", 1, 0); !ok || !strings.Contains(b.Text(), "int") {
		t.Errorf("%v", b)
	}
	if s, _ := f.Completeness("for {"); s != execution.Incomplete {
		t.Errorf("%v", s)
	}
}

// What is printed comes before what is shown after it, and not what is printed
// later.
func TestOrderOfOutput(t *testing.T) {
	f := start(t)
	f.ok("import (\"fmt\"; \"github.com/bonnetbook/bonnetbook/pkg/notebook\")")
	f.ok("for i := range 30 { fmt.Print(i, \" \"); notebook.Show(i); fmt.Print(\"b \") }")
	want := ""
	for i := range 30 {
		want += fmt.Sprint(i, " ")
		if w := fmt.Sprintf("display %d after %q", i, want); f.shown[i] != w {
			t.Fatalf("%s, want %s", f.shown[i], w)
		}
		want += "b "
	}
	if f.text["stdout"] != want {
		t.Errorf("%q", f.text["stdout"])
	}
	f.ok("for i := range 200_000 { fmt.Println(i) }")
	if n := strings.Count(f.text["stdout"], "\n"); n != 200_000 {
		t.Errorf("%d lines", n)
	}
}

func TestQuestions(t *testing.T) {
	f := start(t)
	f.lines = []string{"Ann"}
	f.is("import (\"bufio\"; \"os\"; \"fmt\")\nfmt.Print(\"Who? \")\nline, _ := bufio.NewReader(os.Stdin).ReadString('\\n')\nline == \"Ann\\n\"", "true")
}

func TestInterruptKeepsTheState(t *testing.T) {
	f := start(t)
	f.ok("x := 5")
	ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	o := f.Run(ctx, execution.Source{Name: "cell 2", Text: "for { x++ }"}, execution.Terms{})
	if o.Failure == nil || o.Failure.Name != "interrupted" || o.Died {
		t.Fatalf("%+v", o)
	}
	if got := f.ok("x > 5"); got != "true" {
		t.Error(got)
	}
}

// killSelf is a cell that kills its process.
const killSelf = `import "os"
func() { self, _ := os.FindProcess(os.Getpid()); self.Kill() }()
select {}`

const notebookCells = `import ("fmt"; "time"; "sort"; "strings")
type Point struct { X, y float64; next *Point }
func (p Point) Sum() float64 { return p.X + p.y + offset }
const ( A = iota; B; C )
var offset = 0.5
var hook func() = nil
---
p := Point{1, 2, nil}
q := &p
p.next = q
names := map[string][]int{"a": {1, 2}}
all := names["a"][:1:2]
at := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
var anything any = []any{1, "x", Point{3, 4, nil}}
ch := make(chan int)
func useChannel() { ch <- 1 }
func G[T any](x T) string { return fmt.Sprint(x) }
---
func twice() float64 { return 2 * p.Sum() }
type byX []Point
func (b byX) Len() int { return len(b) }
func (b byX) Less(i, j int) bool { return b[i].X < b[j].X }
func (b byX) Swap(i, j int) { b[i], b[j] = b[j], b[i] }
big := make([]float64, 1_000_000)
big[77] = 7
boom := func() { panic("boom") }
func fails() { panic("on line 9") }`

// A process that dies takes over what is plain, and tells what is gone.
func TestStateOutlivesTheProcess(t *testing.T) {
	f := start(t)
	for _, c := range strings.Split(notebookCells, "\n---\n") {
		f.ok(c)
	}
	f.settle()
	text := f.dies(killSelf, "signal 9", "A new process has taken over. No cell was run again.", "end of cell 3", "Gone: ", "ch (a channel", "boom (a function", "useChannel (it does not compile")
	for _, name := range []string{"p", "q", "names", "all", "at", "anything", "big", "twice", "Point.Sum", "A", "G", "offset"} {
		if line, _, _ := strings.Cut(text[strings.Index(text, "Brought back"):], "\n"); !strings.Contains(line, name) {
			t.Errorf("%s is not brought back: %s", name, line)
		}
	}
	f.is("p.Sum()", "3.5")
	f.is("twice()", "7")
	f.is("q == &p && p.next == q", "true")
	f.is("all[0] = 9; names[\"a\"][0]", "9")
	f.is("at.Format(time.RFC3339)", `"2026-01-02T03:04:05Z"`)
	f.is("anything.([]any)[2].(Point).Sum()", "7.5")
	f.is("big[77] + float64(len(big))", "1.000007e+06")
	f.is("B + C", "3")
	f.is("G(1.5) + strings.Repeat(\"x\", 2)", `"1.5xx"`)
	f.is("b := byX{{2, 0, nil}, {1, 0, nil}}\nsort.Sort(b)\nb[0].X", "1")
	o := f.run("fails()")
	if text := o.Failure.Error(); !strings.Contains(text, "cell 3, line 9") {
		t.Errorf("a place has moved:\n%s", text)
	}
	if o := f.run("ch"); o.Failure == nil || !strings.Contains(o.Failure.Error(), "undefined: ch") {
		t.Errorf("what is gone is there: %+v", o)
	}
	// And once more, from what the second process has saved.
	f.ok("offset = 1.5")
	f.settle()
	f.dies(killSelf)
	f.is("twice()", "9")
}

// Nothing is run to bring a notebook back, also not the initialisation of
// variables.
func TestNothingRunsAgain(t *testing.T) {
	f := start(t)
	f.ok("import \"fmt\"\nvar x = func() int { fmt.Println(\"ran\"); return 1 }()\nfunc init() { fmt.Println(\"init\") }\nvar y = x + 1")
	f.ok("x = 10")
	f.settle()
	f.dies(killSelf)
	f.is("x + y", "12")
	if got := f.text["stdout"]; got != "ran\ninit\n" {
		t.Errorf("printed %q", got)
	}
}

// A process that is killed while no cell runs is replaced, and the next cell
// says so.
func TestDeathBetweenCells(t *testing.T) {
	f := start(t)
	f.ok("import \"time\"\nx := 3\nch := make(chan int)")
	f.settle()
	f.ok("import \"os\"\ngo func() { time.Sleep(50*time.Millisecond); self, _ := os.FindProcess(os.Getpid()); self.Kill() }()")
	becomes(func() bool { return len(f.losses()) > 0 })
	if lost := f.losses(); len(lost) != 1 || !strings.Contains(lost[0], "signal 9") {
		t.Errorf("%q", lost)
	}
	o := f.run("x")
	if o.Result.Text() != "3" || len(o.Notices) != 1 || !strings.Contains(o.Notices[0], "ch (") {
		t.Errorf("%+v", o)
	}
	if o := f.run("x"); len(o.Notices) > 0 {
		t.Errorf("%+v", o)
	}
}

func TestDeathsAreExplained(t *testing.T) {
	f := start(t)
	f.ok(`import ("bufio"; "flag"; "net/url"; "net/http"; "os"; "reflect"; "runtime"; "sync"; "testing"; "time"; "fmt")
kept := 41
func several() { runtime.GOMAXPROCS(8); begun = time.Now() } // one processor would never see two goroutines at a map
var begun time.Time
func goesOn() bool { return time.Since(begun) < time.Minute } // until it dies
var _ = []any{bufio.NewReader, flag.Parse, url.Parse, http.Get, os.Exit, reflect.ValueOf, runtime.GC, testing.Short, time.Now, fmt.Print, new(sync.Mutex)}`)
	f.settle()
	for _, c := range []struct {
		code  string
		words []string
	}{
		{"fmt.Print(\"before\")\nflag.NewFlagSet(\"x\", flag.ExitOnError).Parse([]string{\"-nope\"})", []string{"exit status 2", "flag.ContinueOnError"}},
		{"several()\nv := url.Values{}\nvar wg sync.WaitGroup\nfor range 8 { wg.Add(1); go func() { defer wg.Done(); for goesOn() { v.Set(\"a\", \"b\") } }() }\nwg.Wait()", []string{"concurrent map", "url.Values", "sync.Mutex"}},
		{"several()\nh := http.Header{}\nvar wg sync.WaitGroup\nfor i := range 8 { wg.Add(1); go func() { defer wg.Done(); for j := 0; goesOn(); j++ { h.Set(fmt.Sprint(i, j%1000), \"b\") } }() }\nwg.Wait()", []string{"concurrent map", "http.Header", "sync.Mutex"}},
		{"several()\nm := reflect.ValueOf(map[int]int{})\nvar wg sync.WaitGroup\nfor i := range 8 { wg.Add(1); go func() { defer wg.Done(); for j := 0; goesOn(); j++ { m.SetMapIndex(reflect.ValueOf(i*j%10000), reflect.ValueOf(1)) } }() }\nwg.Wait()", []string{"concurrent map", "sync.Mutex"}},
		{"testing.Main(func(a, b string) (bool, error) { return true, nil }, nil, nil, nil)", []string{"exit status", "testing.Main"}},
		{"reflect.ValueOf(&sync.Mutex{}).MethodByName(\"Unlock\").Call(nil)", []string{"unlock of unlocked mutex"}},
	} {
		f.dies(c.code, append(c.words, "kept")...)
		f.is("kept", "41")
	}
	for _, c := range []struct{ code, want string }{ // these keep the process
		{"c := sync.NewCond(&sync.Mutex{})\nc.Wait()", "unlock of unlocked mutex"},
		{"time.AfterFunc(time.Millisecond, nil)", "nil func value"},
	} {
		if o := f.run(c.code); o.Died || o.Failure == nil || !strings.Contains(o.Failure.Error(), c.want) {
			t.Errorf("%s: %+v", c.code, o)
		}
	}
	if !strings.Contains(f.text["stdout"], "before") {
		t.Errorf("the last words of a cell are lost: %q", f.text["stdout"])
	}
	if strings.Contains(f.text["stderr"], "goroutine ") || strings.Contains(f.text["stderr"], "fatal error") {
		t.Errorf("the run time's words are shown:\n%.2000s", f.text["stderr"])
	}
}

// A cell that is sent to a process that is dead already is run by the next
// one: nothing of it has happened.
func TestCellForADeadProcess(t *testing.T) {
	f := start(t)
	f.ok("x := 3")
	f.settle()
	for range 10 {
		p, _ := os.FindProcess(f.Pid())
		p.Kill()
		f.is("x", "3")
	}
	if lost := f.losses(); len(lost) != 10 {
		t.Errorf("%d of 10 deaths were told", len(lost))
	}
}

func TestClosedStreamsAreOpenedAgain(t *testing.T) {
	f := start(t)
	o := f.run("import (\"fmt\"; \"os\")\nfmt.Print(1)\nos.Stdout.Close()\nos.Stderr.Close()")
	if o.Failure != nil || len(o.Notices) != 2 {
		t.Errorf("%+v", o)
	}
	if o := f.run("fmt.Print(2)\nfmt.Fprint(os.Stderr, 3)"); o.Failure != nil || len(o.Notices) > 0 {
		t.Errorf("%+v", o)
	}
	if f.text["stdout"] != "12" || f.text["stderr"] != "3" {
		t.Errorf("%q", f.text)
	}
}

// A panic in a finalizer ends its cell or is told, and not the process.
func TestPanicInAFinalizer(t *testing.T) {
	f := start(t)
	f.ok("import (\"runtime\"; \"time\")\nx := 5\nfunc drop() { for range 10 { p := new([10]int); runtime.SetFinalizer(p, func(*[10]int) { panic(\"at last\") }) } }\ndrop()")
	o := f.run("runtime.GC()\ntime.Sleep(200*time.Millisecond)\nruntime.GC()\ntime.Sleep(200*time.Millisecond)")
	if o.Died || !strings.Contains(fmt.Sprint(o, f.losses()), "at last") {
		t.Errorf("%+v %q", o, f.losses())
	}
	f.is("x", "5")
	f.is("runtime.GC(); x", "5")
}
