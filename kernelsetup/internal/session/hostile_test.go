package session

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/batch"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// spin loops for ever and stores to memory of its own: a method that was left
// behind still runs while the next one does, and the two must not race.
const spin = `n := make([]int, 1); for { n[0]++ }`

// hostileBodies are what a value's own method may do.
var hostileBodies = []struct{ name, body string }{
	{"panics", `panic("on purpose")`},
	{"panics with itself", `panic(x)`},
	{"panics with nil", `panic(nil)`},
	{"follows a nil pointer", `var p *int; *p = 1; panic(0)`},
	{"indexes too far", `var s []int; return fmt.Sprint(s[3])`},
	{"divides by zero", `z := 0; return fmt.Sprint(1 / z)`},
	{"loops", spin},
	{"loops without a store", `for {}`},
	{"calls itself", `return x.TEXT() + "."`},
	{"calls itself by fmt", `return fmt.Sprint(x)`},
	{"waits for nobody", `<-make(chan int); return ""`},
	{"selects nothing", `select {}`},
	{"sends to nobody", `make(chan int) <- 1; return ""`},
	{"locks twice", `var mu sync.Mutex; mu.Lock(); mu.Lock(); return ""`},
	{"waits for a group", `var wg sync.WaitGroup; wg.Add(1); wg.Wait(); return ""`},
	{"sleeps", `time.Sleep(time.Hour); return ""`},
	{"exits", `os.Exit(3); return ""`},
	{"ends its goroutine", `runtime.Goexit(); return ""`},
	{"fails in log", `log.Fatal("no"); return ""`},
	{"takes memory", `var s [][]byte; for { s = append(s, make([]byte, 1<<16)); if len(s) > 1000 { s = nil } }`},
	{"recovers and loops", `defer func() { recover(); ` + spin + ` }(); panic(1)`},
	{"recovers and panics", `defer func() { recover(); panic("again") }(); panic(1)`},
	{"starts a panic", `go func() { panic("elsewhere") }(); time.Sleep(time.Hour); return ""`},
	{"is long", `return strings.Repeat("x", 3_000_000)`},
	{"is not UTF-8", `return "\xff\xfe\x00\x1b[31m"`},
	{"sorts for ever", `sort.Slice(make([]int, 2), func(i, j int) bool { ` + spin + ` }); return ""`},
}

// hostileValues are the values of the table: the bodies as String of a value
// and Error of a pointer, and others that have their own ways.
func hostileValues() (list []hostile) {
	for i, b := range hostileBodies {
		s, e := fmt.Sprintf("S%d", i), fmt.Sprintf("E%d", i)
		list = append(list,
			hostile{b.name + " in String",
				fmt.Sprintf("type %s struct{ N int }\nfunc (x %s) String() string { %s }", s, s, strings.ReplaceAll(b.body, "TEXT", "String")), s + "{3}"},
			hostile{b.name + " in Error",
				fmt.Sprintf("type %s struct{ N int }\nfunc (x *%s) Error() string { %s }", e, e, strings.ReplaceAll(b.body, "TEXT", "Error")), "&" + e + "{3}"})
	}
	const loop, boom = spin, `panic("on purpose")`
	for i, o := range []struct{ name, decl, value string }{
		{"a nil pointer in an error", "type T struct{ n int }\nfunc (x *T) Error() string { return fmt.Sprint(x.n) }", "error((*T)(nil))"},
		{"a nil pointer with String", "type T struct{ n int }\nfunc (x *T) String() string { return fmt.Sprint(x.n) }", "fmt.Stringer((*T)(nil))"},
		{"joined errors", "type T struct{}\nfunc (x *T) Error() string { " + loop + " }", "errors.Join(errors.New(\"a\"), &T{})"},
		{"joined nil pointers", "type T struct{ n int }\nfunc (x *T) Error() string { return fmt.Sprint(x.n) }", "errors.Join((*T)(nil), (*T)(nil))"},
		{"a loop in Format", "type T struct{}\nfunc (x T) Format(f fmt.State, c rune) { " + loop + " }", "T{}"},
		{"a panic in Format", "type T struct{}\nfunc (x T) Format(f fmt.State, c rune) { " + boom + " }", "T{}"},
		{"a loop in GoString", "type T struct{}\nfunc (x T) GoString() string { " + loop + " }", "T{}"},
		{"a loop in Display", "type T struct{}\nfunc (x T) Display() notebook.Bundle { " + loop + " }", "T{}"},
		{"a panic in Display", "type T struct{}\nfunc (x T) Display() notebook.Bundle { " + boom + " }", "T{}"},
		{"a loop in MarshalJSON", "type T struct{}\nfunc (x T) MarshalJSON() ([]byte, error) { " + loop + " }", "notebook.Bundle{\"application/json\": T{}, \"text/plain\": \"t\"}"},
		{"a panic in MarshalJSON", "type T struct{}\nfunc (x T) MarshalJSON() ([]byte, error) { " + boom + " }", "notebook.Bundle{\"application/json\": T{}, \"text/plain\": \"t\"}"},
		{"a nil pointer in MarshalJSON", "type T struct{ n int }\nfunc (x *T) MarshalJSON() ([]byte, error) { panic(x) }", "notebook.Bundle{\"application/json\": &T{}, \"text/plain\": \"t\"}"},
		{"a slice of loops", "type T struct{}\nfunc (x T) String() string { " + loop + " }", "[]T{{}, {}, {}}"},
		{"a map of panics", "type T struct{ N int }\nfunc (x T) String() string { " + boom + " }", "map[T]T{{1}: {2}}"},
		{"a table of loops", "type T struct{}\nfunc (x T) String() string { " + loop + " }\ntype R struct{ A T }", "[]R{{}, {}}"},
		{"a field that loops", "type T struct{}\nfunc (x T) Error() string { " + loop + " }\ntype R struct{ A error }", "R{T{}}"},
		{"an embedded nil", "type T struct{ error }", "T{}"},
		{"a loop in Unwrap and Error", "type T struct{}\nfunc (x T) Error() string { " + loop + " }\nfunc (x T) Unwrap() error { " + loop + " }", "T{}"},
		{"a picture that loops", "type T struct{}\nfunc (x T) ColorModel() color.Model { return color.GrayModel }\nfunc (x T) Bounds() image.Rectangle { return image.Rect(0, 0, 9, 9) }\nfunc (x T) At(i, j int) color.Color { " + loop + " }", "T{}"},
		{"a large number", "", "new(big.Int).Lsh(big.NewInt(1), 1<<23)"},
	} {
		name := fmt.Sprintf("X%d", i)
		list = append(list, hostile{o.name, replaceName(o.decl, "T", name), replaceName(o.value, "T", name)})
	}
	return list
}

type hostile struct{ name, decl, value string }

// replaceName replaces an identifier of one letter.
func replaceName(text, old, by string) string {
	letter := func(b byte) bool {
		return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= '0' && b <= '9' || b == '_'
	}
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if text[i] == old[0] && (i == 0 || !letter(text[i-1])) && (i+1 == len(text) || !letter(text[i+1])) {
			b.WriteString(by)
			continue
		}
		b.WriteByte(text[i])
	}
	return b.String()
}

const hostileImports = `import ("errors"; "fmt"; "image"; "image/color"; "log"; "math/big"; "os"; "runtime"; "sort"; "strings"; "sync"; "time"
	"github.com/bonnetbook/bonnetbook/pkg/notebook")
var _ = []any{errors.New, fmt.Sprint, image.Rect, color.GrayModel, log.Fatal, big.NewInt, os.Exit, runtime.GC, sort.Ints, strings.Repeat, new(sync.Mutex), time.Now, notebook.Show}
kept := 41`

// hostileAnswer is how long any answer may take: what does not end by itself is
// found on any machine, however busy. On a quiet one, by hand and with the real
// limits, it is 1.5 s.
var hostileAnswer = func() time.Duration {
	if os.Getenv("BONNETBOOK_HOSTILE_SLOW") != "" {
		return 1500 * time.Millisecond
	}
	return time.Minute
}()

// Whatever a value's own methods do, and wherever the value appears, the
// kernel answers in time and keeps the state.
func TestHostileValues(t *testing.T) {
	if os.Getenv("BONNETBOOK_HOSTILE_SLOW") == "" { // with the real limit it takes ten minutes
		before := interpreter.PatienceWithText
		interpreter.PatienceWithText = 300 * time.Millisecond
		defer func() { interpreter.PatienceWithText = before }()
	}
	k := startInterpreted(t)
	if _, reply := k.run(hostileImports, 20*time.Second); reply["status"] != "ok" {
		t.Fatalf("%v", reply)
	}
	slowest := time.Duration(0)
	ask := func(what, kind string, content map[string]any) (string, map[string]any) {
		t.Helper()
		start := time.Now()
		id := k.send(kind, content)
		reply := k.answer(id, hostileAnswer)
		slowest = max(slowest, time.Since(start))
		if reply == nil {
			k.sendOn(k.control, "interrupt_request", nil)
			k.answer(id, 12*time.Second)
			t.Fatalf("%s was not answered", what)
		}
		if text := fmt.Sprint(reply); strings.Contains(text, "internal error") || strings.Contains(text, "Trespass") {
			t.Errorf("%s: %s", what, text)
		}
		return id, reply
	}
	values := hostileValues()
	if len(values) < 60 {
		t.Errorf("%d values, want 60", len(values))
	}
	if testing.Short() {
		values = values[len(values)-20:]
	}
	var from int
	if text := os.Getenv("BONNETBOOK_HOSTILE_FROM"); text != "" { // to begin near a failure
		from, _ = strconv.Atoi(text)
	}
	for i, v := range values {
		if i < from {
			k.run("kept++", time.Second)
			continue
		}
		cell := func(what, code string) (string, map[string]any) {
			return ask(v.name+" as "+what, "execute_request", map[string]any{"code": code})
		}
		if _, reply := cell("a declaration", fmt.Sprintf("%s\nv := %s\nkept++", v.decl, v.value)); reply["status"] != "ok" {
			t.Fatalf("%s: %v", v.name, reply)
		}
		if _, reply := cell("a panic", "panic(any(v))"); reply["status"] != "error" {
			t.Errorf("%s: a panic gave %v", v.name, reply)
		}
		cell("a result", "v")
		cell("a goroutine's panic", "go func() { panic(any(v)) }()\ntime.Sleep(20*time.Millisecond)")
		cell("a late goroutine's panic", "go func() { time.Sleep(time.Millisecond); panic(any(v)) }()")
		cell("a display", "notebook.Show(v)")
		cell("displays", "notebook.Show(v, 1)")
		ask(v.name+" inspected", "inspect_request", map[string]any{"code": "v", "cursor_pos": 1})
		ask(v.name+" completed", "complete_request", map[string]any{"code": "v.", "cursor_pos": 2})
		ask(v.name+" as an expression", "execute_request", map[string]any{"code": "", "user_expressions": map[string]string{"x": "v"}})
		id, _ := cell("a slider's first", fmt.Sprintf("s, _ := notebook.Slider(\"s%d\", 0, 10, 1, 2)\nnotebook.Interact(func() any { if s.Value() < 3 { return 1 }; return v }, s)", i))
		for _, open := range k.published(id, "comm_open") {
			ask(v.name+" behind a slider", "comm_msg", map[string]any{"comm_id": open.content["comm_id"],
				"data": map[string]any{"method": "update", "state": map[string]any{"value": 5}}})
		}
		cell("a slider's panic", fmt.Sprintf("p, _ := notebook.Slider(\"p%d\", 0, 10, 1, 2)\nnotebook.Interact(func() any { if p.Value() < 3 { return 1 }; panic(any(v)) }, p)", i))
		if id, reply := ask(v.name+", next cell", "execute_request", map[string]any{"code": "kept"}); reply["status"] != "ok" ||
			!strings.Contains(fmt.Sprint(k.published(id, "execute_result")), fmt.Sprint("text/plain:", 42+i)) {
			t.Fatalf("%s: the state is gone: %v %v", v.name, reply, k.published(id, "execute_result"))
		}
		k.mu.Lock()
		k.messages = nil
		k.mu.Unlock()
	}
	t.Logf("%d values, slowest answer %v", len(values), slowest.Round(time.Millisecond))
}

// A notebook file with hostile values runs to its end, and with a time limit
// each cell keeps to it.
func TestHostileValuesInTheRunner(t *testing.T) {
	before := interpreter.PatienceWithText
	interpreter.PatienceWithText = 300 * time.Millisecond
	defer func() { interpreter.PatienceWithText = before }()
	values := hostileValues()
	if testing.Short() {
		values = values[len(values)-10:]
	}
	for _, use := range []string{"v", "panic(any(v))"} {
		var cells []map[string]any
		add := func(code string) {
			cells = append(cells, map[string]any{"cell_type": "code", "metadata": map[string]any{}, "outputs": []any{}, "execution_count": nil, "source": code})
		}
		add(hostileImports)
		for _, v := range values {
			add(fmt.Sprintf("%s\nv := %s", v.decl, v.value))
			add(use)
		}
		add("kept")
		raw, _ := json.Marshal(map[string]any{"cells": cells, "metadata": map[string]any{}, "nbformat": 4, "nbformat_minor": 4})
		n, err := nbformat.Read(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		ev, err := repl.New("")
		if err != nil {
			t.Fatal(err)
		}
		start, began, at := time.Now(), time.Now(), 0
		slow := func(cell, of int) {
			if d := time.Since(began); at > 1 && d > hostileAnswer {
				t.Errorf("%q took %v", cells[at-1]["source"], d)
			}
			began, at = time.Now(), cell
		}
		batch.Run(context.Background(), n, worker.Here(ev), batch.Options{KeepGoing: true, Timeout: 20 * time.Second, Before: slow})
		if shown := n.Cells[len(n.Cells)-1].Outputs(); len(shown) != 1 || shown[0].Data["text/plain"] != "41" {
			t.Errorf("with %q the last cell shows %v", use, shown)
		}
		t.Logf("%q: %d values in %v", use, len(values), time.Since(start).Round(time.Millisecond))
	}
}
