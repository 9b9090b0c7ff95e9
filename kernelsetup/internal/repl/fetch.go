package repl

import (
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/toolchain"
)

// fetch runs the lines "go get …" at the top of a cell and returns what is
// left of it. What the go command says becomes the cell's output.
func (ev *Evaluator) fetch(ctx context.Context, source execution.Source) (text string, failed *execution.Failure) {
	gets, text := meaning.Gets(source.Text)
	for _, g := range gets {
		if err := toolchain.Get(g).Run(ctx, ev.dir, os.Stdout); err != nil {
			what := err.Error()
			if ctx.Err() != nil {
				what = "interrupted"
			}
			line := fmt.Sprintf("%s, line %d: go get %s", source.Name, g.Line, strings.Join(g.Args, " "))
			return "", &execution.Failure{Name: "import error", Value: firstLine(what), Traceback: strings.Split(coloured(what)+"\n  "+line, "\n")}
		}
	}
	return text, nil
}
