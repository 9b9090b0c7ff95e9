package repl

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// talk runs cells one after another.
func talk(t *testing.T) func(code string) string {
	t.Helper()
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	return func(code string) string {
		t.Helper()
		n++
		out := ev.Run(context.Background(), execution.Source{Name: fmt.Sprint("cell ", n), Text: code})
		if out.Failure != nil {
			t.Fatalf("%s\n%v", code, out.Failure)
		}
		return out.Result.Text()
	}
}

func TestListOfVariables(t *testing.T) {
	run := talk(t)
	if got := run("list variables"); got != "there are no variables" {
		t.Error(got)
	}
	run(`import ("fmt"; "time")
type Evil struct { n int; next *Evil }
func (e *Evil) String() string { for { } }
func (e Evil) Format(fmt.State, rune) { panic("no") }
n, text := 5, "grüße"
evil := &Evil{n: 3}
evil.next = evil
big := make([]float64, 1_000_000)
long := string(make([]byte, 500))
m := map[string]int{"a": 1}
var none []int
var f func()
g := func() {}
ch := make(chan int, 3)
var err error = fmt.Errorf("bad")
wait := 3 * time.Second
x := any(2.5)`)
	begun := time.Now()
	got := run(" list  variables ;")
	if took := time.Since(begun); took > time.Second {
		t.Errorf("it took %v", took)
	}
	for _, want := range []string{
		"n int 8 B 5", `text string 23 B "grüße"`, "evil *Evil 24 B &{n: 3, next: &{n: 3", "big []float64 7.6 MiB 1000000: [0, 0, 0",
		`m map[string]int 33 B 1: {"a": 1}`, "none []int 24 B nil", "f func() 8 B nil", "g func() ≥ 8 B (func)",
		"ch chan int ≥ 8 B 0 of 3 waiting", "wait time.Duration 8 B 3s", "x any 40 B 2.5", `err error ≥ 16 B &{s: "bad"}`,
	} {
		if !strings.Contains(strings.Join(strings.Fields(got), " "), want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	for _, line := range strings.Split(got, "\n") {
		if len([]rune(line)) > 140 {
			t.Errorf("a long line: %s", line)
		}
	}
}

func TestListOfWhatRuns(t *testing.T) {
	run := talk(t)
	if got := run("list running"); got != "nothing is running" {
		t.Error(got)
	}
	run("import \"time\"\nvar n int\ngo func() { for { n++ } }()")
	run("for range 3 { go func() { select {} }() }\ntime.AfterFunc(time.Hour, func() {})")
	time.Sleep(300 * time.Millisecond)
	got := run("list running")
	for _, want := range []string{"cell 2", "1 goroutine ", "cell 3", "3 goroutines, 1 timer", " ms"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	if got := run("stop running"); !strings.Contains(got, "stopped cell 2: 1 goroutine") || !strings.Contains(got, "stopped cell 3: 3 goroutines, 1 timer") {
		t.Error(got)
	}
	if got := run("list running"); got != "nothing is running" {
		t.Error(got)
	}
	if got := run("stop running"); got != "nothing was running" {
		t.Error(got)
	}
	// New ones run.
	if got := run("done := make(chan bool, 1)\ntime.AfterFunc(time.Millisecond, func() { done <- true })\n<-done"); got != "true" {
		t.Error("a new timer does nothing")
	}
}

func TestOnlyWholeCellsAsk(t *testing.T) {
	for text, want := range map[string]string{"list variables": "list variables", "\n list\trunning ; \n": "list running", "stop running": "stop running",
		"stop variables": "", "list": "", "list variables\nx": "", "// list variables": "", "list := 1": "", "list variables()": ""} {
		got, _ := meaning.Special(text)
		if got.Text != want || got.Kind == meaning.List != (want != "") {
			t.Errorf("%q asks %q, want %q", text, got.Text, want)
		}
	}
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	if s, _ := ev.Completeness("list variables"); s != execution.Complete {
		t.Error(s)
	}
}
