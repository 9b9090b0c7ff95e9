// Command trivial is a kernel whose language is a handful of words, so that
// the session can be tested through a real client without an interpreter.
package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/session"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

type words struct{}

func (w words) Run(ctx context.Context, s execution.Source) execution.Outcome {
	verb, rest, _ := strings.Cut(s.Text, " ")
	switch verb {
	case "print":
		fmt.Println(rest)
	case "complain":
		fmt.Fprintln(os.Stderr, rest)
	case "lines":
		n, _ := strconv.Atoi(rest)
		for i := range n {
			fmt.Println(i)
		}
	case "show":
		notebook.Show(notebook.Markdown(rest))
	case "live":
		h := notebook.ShowLive(1)
		h.Update(2)
		notebook.Clear(true)
	case "fail":
		return execution.Outcome{Failure: &execution.Failure{Name: "failed", Value: rest, Traceback: []string{"failed: " + rest}}}
	case "sleep":
		d, _ := time.ParseDuration(rest)
		select {
		case <-time.After(d):
		case <-ctx.Done():
			return execution.Outcome{Failure: &execution.Failure{Name: "interrupted", Value: "", Traceback: []string{"interrupted"}}}
		}
	case "ask":
		fmt.Print(rest)
		line, err := bufio.NewReader(os.Stdin).ReadString('\n')
		if err != nil {
			return execution.Outcome{Failure: &execution.Failure{Name: "input", Value: err.Error(), Traceback: []string{err.Error()}}}
		}
		return execution.Outcome{Result: notebook.Format(strings.TrimSpace(line))}
	case "slider":
		s, _ := notebook.Slider(rest, 0, 10, 1, 2)
		notebook.Interact(func() any { return s.Value() * 10 }, s)
	case "":
	default:
		return execution.Outcome{Result: notebook.TextBundle(s.Text)}
	}
	return execution.Outcome{}
}

func (w words) Call(ctx context.Context, f func()) *execution.Failure { f(); return nil }

func (w words) Complete(source string, cursor int) execution.Completion {
	c := execution.Completion{Start: 0, End: cursor}
	for _, v := range []string{"print", "complain", "lines", "show", "live", "fail", "sleep", "ask"} {
		if strings.HasPrefix(v, source[:cursor]) {
			c.Matches = append(c.Matches, execution.Match{Text: v, Type: "function"})
		}
	}
	return c
}

func (w words) Inspect(source string, cursor, detail int) (notebook.Bundle, bool) {
	return notebook.TextBundle("a word"), true
}

func (w words) Completeness(source string) (execution.Completeness, string) {
	switch {
	case strings.HasSuffix(source, "…"):
		return execution.Incomplete, "  "
	case strings.HasPrefix(source, "?"):
		return execution.Invalid, ""
	}
	return execution.Complete, ""
}

func main() {
	c, err := protocol.ReadConnection(os.Args[1])
	if err == nil {
		err = session.Serve(context.Background(), c, session.Options{
			Worker: worker.Here(words{}), Version: "0.0.1", HistoryFile: os.Getenv("TRIVIAL_HISTORY")})
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
