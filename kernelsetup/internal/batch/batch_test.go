package batch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// words is an evaluator that knows a handful of words.
type words struct{ live notebook.Handle }

func (w *words) Run(ctx context.Context, s execution.Source) execution.Outcome {
	verb, rest, _ := strings.Cut(s.Text, " ")
	switch verb {
	case "print":
		fmt.Println(rest)
	case "complain":
		fmt.Fprintln(os.Stderr, rest)
	case "both":
		fmt.Println("before")
		notebook.Show(notebook.HTML("<b>" + rest + "</b>"))
		fmt.Println("after")
	case "live":
		w.live = notebook.ShowLive(rest)
	case "update":
		w.live.Update(rest)
	case "clear":
		fmt.Println("gone")
		notebook.Clear(true)
		fmt.Println("kept")
	case "fail":
		return execution.Outcome{Failure: &execution.Failure{Name: "failed", Value: rest, Traceback: []string{"failed: " + rest}}}
	case "sleep":
		<-ctx.Done()
		return execution.Outcome{Failure: &execution.Failure{Name: "interrupted", Value: ctx.Err().Error()}}
	case "slider":
		s, _ := notebook.Slider(rest, 0, 1, 0.1, 0.5)
		notebook.Show(s)
	case "notice":
		return execution.Outcome{Notices: []string{rest}}
	default:
		return execution.Outcome{Result: notebook.Format(s.Text)}
	}
	return execution.Outcome{}
}

func (w *words) Call(ctx context.Context, f func()) *execution.Failure { f(); return nil }

func execute(t *testing.T, opt Options, sources ...string) (*nbformat.Notebook, error) {
	t.Helper()
	n := nbformat.New()
	for _, s := range sources {
		tagged := strings.TrimPrefix(s, "!")
		c := nbformat.NewCell(nbformat.Code, tagged)
		if tagged != s {
			c.AddTag(nbformat.TagRaises)
		}
		n.Cells = append(n.Cells, c)
	}
	err := Run(context.Background(), n, worker.Here(new(words)), opt)
	return n, err
}

// outputs tells each output of a cell in one string.
func outputs(c *nbformat.Cell) []string {
	list := []string{}
	for _, o := range c.Outputs() {
		switch o.Kind {
		case nbformat.Stream:
			list = append(list, o.Name+":"+o.Text)
		case nbformat.Failure:
			list = append(list, "error:"+o.ErrorValue)
		default:
			list = append(list, fmt.Sprintf("%s:%v", o.Kind, o.Data["text/plain"]))
		}
	}
	return list
}

func TestOutputsLandInTheirCells(t *testing.T) {
	n, err := execute(t, Options{}, "print a", "complain b", "value", "both x", "live one", "update two", "clear", "notice dropped", "slider gap")
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"stdout:a\n"}, {"stderr:b\n"}, {`execute_result:"value"`},
		{"stdout:before\n", "display_data:x", "stdout:after\n"}, {`display_data:"two"`}, {}, {"stdout:kept\n"},
		{"stderr:dropped\n"}, {"display_data:gap: 0.5 (0 to 1)"},
	}
	for i, c := range n.Cells {
		if got := outputs(c); !reflect.DeepEqual(got, want[i]) {
			t.Errorf("cell %d has %q, want %q", i+1, got, want[i])
		}
		if c.ExecutionCount() != i+1 {
			t.Errorf("cell %d is numbered %d", i+1, c.ExecutionCount())
		}
	}
}

func TestFailureEndsTheRun(t *testing.T) {
	n, err := execute(t, Options{}, "a", "!fail expected", "fail here", "b")
	var failed *CellError
	if !errors.As(err, &failed) || failed.Cell != 3 || failed.Failure.Value != "here" {
		t.Fatalf("error %v, want the failure of cell 3", err)
	}
	if got := outputs(n.Cells[2]); !reflect.DeepEqual(got, []string{"error:here"}) {
		t.Errorf("failed cell shows %q", got)
	}
	if got := outputs(n.Cells[3]); len(got) != 0 {
		t.Errorf("cell behind it ran: %q", got)
	}
	n, err = execute(t, Options{KeepGoing: true}, "fail one", "b", "fail two")
	if !errors.As(err, &failed) || failed.Cell != 1 {
		t.Errorf("error %v, want that of the first cell", err)
	}
	if got := outputs(n.Cells[1]); !reflect.DeepEqual(got, []string{`execute_result:"b"`}) {
		t.Errorf("cell behind it: %q", got)
	}
}

func TestTimeout(t *testing.T) {
	started := time.Now()
	_, err := execute(t, Options{Timeout: 20 * time.Millisecond}, "sleep")
	if err == nil || time.Since(started) > 5*time.Second {
		t.Errorf("error %v after %v", err, time.Since(started))
	}
}
