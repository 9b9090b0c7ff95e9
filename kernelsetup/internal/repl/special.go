package repl

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// directed runs what a cell's directives are about: run is the cell itself.
func directed(source execution.Source, run func() execution.Outcome) execution.Outcome {
	timed := false
	for _, d := range meaning.Directives(source.Text) {
		if d.Name != meaning.Time || d.Late {
			return execution.Outcome{Failure: failed("unsupported", fmt.Sprintf("%s, line %d: %s", source.Name, d.Line, meaning.DirectiveProblem(d)))}
		}
		timed = true
	}
	if !timed {
		return run()
	}
	began, busy := time.Now(), processorTime()
	out := run()
	took := fmt.Sprintf("%s took %v", source.Name, round(time.Since(began)))
	if p := processorTime(); p > 0 {
		took += fmt.Sprintf(", %v of processor time", round(p-busy))
	}
	out.Notices = append(out.Notices, took)
	return out
}

// round leaves three digits or so of a span of time.
func round(d time.Duration) time.Duration {
	unit := time.Duration(1)
	for d >= 1000*unit {
		unit *= 10
	}
	return d.Round(unit)
}

// special runs a cell that is not Go and is nothing to the interpreter.
func (ev *Evaluator) special(ctx context.Context, c meaning.SpecialCell) execution.Outcome {
	switch c.Kind {
	case meaning.Help:
		return ev.help(c.Text)
	case meaning.List:
		return ev.answer(c.Text)
	}
	err := shell(ctx, c.Text)
	switch {
	case err == nil:
		return execution.Outcome{}
	case ctx.Err() != nil:
		return execution.Outcome{Failure: failed("interrupted", "interrupted: the command and what it had started were ended")}
	}
	return execution.Outcome{Failure: failed("shell", "the command failed: "+err.Error())}
}

func failed(name, text string) *execution.Failure {
	return &execution.Failure{Name: name, Value: firstLine(text), Traceback: strings.Split(coloured(text), "\n")}
}

// help explains a name, or says what there is beside Go.
func (ev *Evaluator) help(name string) execution.Outcome {
	if name == "" {
		return execution.Outcome{Result: notebook.TextBundle(helpText)}
	}
	if b, ok := ev.assistant.Inspect(name, len(name), 1); ok {
		return execution.Outcome{Result: b}
	}
	return execution.Outcome{Failure: failed("help", "nothing is known of "+name+": names of packages, of what they export and of what cells have declared are explained")}
}

// helpText is what a cell that says only help shows; docs/CELLS.md has it, too.
const helpText = `A cell is Go: declarations, statements, and a last expression whose value is shown (not with ; behind it).
What cells declare stays. A name can be declared again, as something else too.

  use bonnetbook       in a cell of its own: opens the library, all its packages by their names
  help strings.Cut     explains a name; so does Shift-Tab with the cursor on it
  $ ls -l              runs a command line, in a cell of its own; several lines, each with its $
  go get PATH          as the first line of a cell: fetches a module for imports
  //bonnetbook:time    as the first line of a cell: says how long it took
  list variables       name, type, size and value of each
  list running         what earlier cells have left running; stop running stops it
  forget NAME          takes a name back; forget everything empties the notebook

Interrupt (the square, or twice the key I) stops a cell and keeps what was there before it.
`

// shell runs command lines until they end or ctx does; then everything that
// they started ends, too.
func shell(ctx context.Context, script string) error {
	cmd := command(script)
	// The streams are those of the process, which a front end shows.
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	end, err := startGroup(cmd)
	if err != nil {
		return err
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case err = <-done:
		end() // what it left in the background is the cell's
		return err
	case <-ctx.Done():
		end()
		<-done
		return ctx.Err()
	}
}
