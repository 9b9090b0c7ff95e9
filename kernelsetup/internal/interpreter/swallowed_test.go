package interpreter

import (
	"strings"
	"testing"
	"time"
)

// Package fmt recovers from panics of the methods that it calls, and others
// do, too. What ends a cell ends it there as well, and is not printed instead.
func TestCompiledCodeDoesNotRecoverTheEndOfACell(t *testing.T) {
	const soon = 50 * time.Millisecond
	nb := newNotebook(t)
	nb.ok(`import ("fmt"; "io"; "log/slog"; "os"; "slices"; "text/template")
type loops struct{}
func (loops) String() string { for {} }
func (loops) LogValue() slog.Value { for {} }
func (loops) Get() int { for {} }
type exits struct{}
func (exits) String() string { os.Exit(3); return "" }
type takes struct{}
func (takes) String() string { return fmt.Sprint(len(make([]byte, 1<<45))) }
quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
after, deferred := 0, 0`)
	for _, c := range []struct {
		src   string
		after time.Duration
		kind  Kind
	}{
		{"fmt.Sprint(loops{})", soon, Interrupted},
		{"fmt.Fprintf(io.Discard, \"%v\", []any{loops{}})", soon, Interrupted},
		{"quiet.Info(\"x\", \"y\", loops{})", soon, Interrupted},
		{"_ = template.Must(template.New(\"\").Parse(`{{.Get}}`)).Execute(io.Discard, loops{})", soon, Interrupted},
		{"fmt.Sprint(exits{}); for range 100 { after++ }", 0, Exit},
		{"fmt.Sprint(takes{}); for range 100 { after++ }", 0, LimitExceeded},
	} {
		r := nb.run(c.src, c.after)
		if r.Err == nil || r.Err.Kind != c.kind {
			t.Errorf("%s: %+v, want %v", c.src, r.Err, c.kind)
		}
		if c.kind == Exit && r.Err != nil && r.Err.Code != 3 {
			t.Errorf("%s: exit status %d", c.src, r.Err.Code)
		}
		// What was recovered then is no part of what happens now.
		if r := nb.run("for {}", soon); r.Err == nil || strings.Contains(r.Err.Traceback(), "loops") {
			t.Errorf("after %s, for {}: %v", c.src, r.Err)
		}
	}
	if nb.value("after < 10") != "true" { // a look at each turn of a loop
		t.Errorf("cells that had ended went on")
	}
	// Deferred calls run to their end all the same.
	r := nb.run(`defer func() { for i := range 4 { deferred += i } }()
slices.SortFunc([]int{1, 2}, func(a, b int) int { return len(make([]byte, 1<<45)) })`, 0)
	if r.Err == nil || r.Err.Kind != LimitExceeded || r.Err.Line != 2 {
		t.Errorf("%+v", r.Err)
	}
	if got := nb.value("deferred"); got != "6" {
		t.Errorf("deferred calls counted to %s", got)
	}
}
