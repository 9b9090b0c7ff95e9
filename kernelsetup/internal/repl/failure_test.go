package repl

import (
	"context"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
)

// A cell whose last value is an error says which value that is, and where.
func TestErrorAsLastValue(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ src, want string }{
		{"import \"strconv\"\n\nstrconv.Atoi(\"x\")", `strconv.Atoi: parsing "x": invalid syntax
  second result of strconv.Atoi(…), cell, line 3
     3 | strconv.Atoi("x")
       | ^`},
		{"import \"errors\"\nfunc check() error { return errors.New(\"too hot\\nby far\") }\ncheck()", `too hot
by far
  result of check(), cell, line 3
     3 | check()
       | ^`},
		{"err := check()\n  err", `too hot
by far
  value of err, cell, line 2
     2 |   err
       |   ^`},
	} {
		out := ev.Run(context.Background(), execution.Source{Name: "cell", Text: c.src})
		if out.Failure == nil {
			t.Errorf("%q: no failure", c.src)
			continue
		}
		got := strings.Join(out.Failure.Traceback, "\n")
		got = strings.NewReplacer("\x1b[31m", "", "\x1b[0m", "").Replace(got)
		if got != c.want {
			t.Errorf("%q:\n%s\nwant:\n%s", c.src, got, c.want)
		}
	}
}

// A method of a cell that panics while its value is shown spoils neither the
// value nor the next cell.
func TestMethodThatPanicsWhileShown(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	out := ev.Run(context.Background(), execution.Source{Name: "cell 1",
		Text: "type Bad struct{ X int }\nfunc (b Bad) String() string { panic(\"on purpose\") }\nBad{3}"})
	if out.Failure != nil {
		t.Fatalf("failed: %v", out.Failure.Traceback)
	}
	if got := out.Result.Text(); !strings.Contains(got, "3") {
		t.Errorf("shown as %q, want its field", got)
	}
	next := ev.Run(context.Background(), execution.Source{Name: "cell 2", Text: "1 + 1"})
	if len(next.Notices) > 0 || next.Failure != nil || next.Result.Text() != "2" {
		t.Errorf("next cell: %v %v %v, want 2 alone", next.Notices, next.Failure, next.Result)
	}
}

// A nil error in the last place says that all went well: an error before it is a
// value like any other.
func TestErrorBeforeANilError(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	out := ev.Run(context.Background(), execution.Source{Name: "cell", Text: "import \"errors\"\na, b := error(nil), errors.New(\"bad\")\nb, a"})
	if out.Failure != nil || out.Result == nil {
		t.Fatalf("failure %v, result %v", out.Failure, out.Result)
	}
}
