package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/batch"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/supervisor"
)

// parameters collects -p name=value.
type parameters map[string]string

func (p parameters) String() string { return "" }

func (p parameters) Set(s string) error {
	name, value, ok := strings.Cut(s, "=")
	if !ok || name == "" {
		return errors.New("want NAME=VALUE")
	}
	p[name] = value
	return nil
}

// runFlags are the flags that all commands share that run notebooks.
type runFlags struct {
	parameters parameters
	batch.Options
	quiet bool
}

func addRunFlags(f *flag.FlagSet) *runFlags {
	r := &runFlags{parameters: parameters{}}
	f.Var(r.parameters, "p", "set a value of the cell tagged \"parameters\": NAME=VALUE; may be repeated")
	f.BoolVar(&r.KeepGoing, "keep-going", false, "run the cells behind a failed one too")
	f.DurationVar(&r.Timeout, "timeout", 0, "limit for each cell, for example 30s")
	f.BoolVar(&r.quiet, "q", false, "say nothing while all goes well")
	return r
}

// execute runs a notebook file in its own folder, as Jupyter would. Beside the
// error of a failed cell it returns the notebook as far as it came, nil where
// nothing ran.
func (r *runFlags) execute(ctx context.Context, path string) (*nbformat.Notebook, error) {
	n, err := nbformat.ReadFile(path)
	if err != nil {
		return nil, err
	}
	if lang := n.Language(); lang != "" && lang != "go" {
		return nil, fmt.Errorf("%s: the notebook's language is %q, not go", path, lang)
	}
	if err := n.SetParameters(r.parameters); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	back, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	if err := os.Chdir(dir); err != nil {
		return nil, err
	}
	defer os.Chdir(back)
	cells, err := supervisor.Start(supervisor.Options{})
	if err != nil {
		return nil, err
	}
	started := time.Now()
	if !r.quiet {
		p := startProgress("running " + path)
		defer p.end()
	}
	if err := batch.Run(ctx, n, cells, r.Options); err != nil {
		return n, fmt.Errorf("%s: %w", path, err)
	}
	if !r.quiet {
		fmt.Printf("%s ran in %.1f s\n", path, time.Since(started).Seconds())
	}
	return n, nil
}

var executedCopies = outputKind{
	command: "run", beside: ".executed.ipynb", inFolder: notebookExt,
	ours: func(data []byte) bool {
		n, err := nbformat.Read(bytes.NewReader(data))
		return err == nil && n.UntouchedCopy()
	},
}

func runRun(f *flag.FlagSet, args []string) error {
	out := addOut(f, "`OUT` is where the executed copies go: a file for one notebook, a folder for\n"+
		"several. It is a folder for one too, where it ends in a slash or is there as a\n"+
		"folder; a missing folder is made. Default: NAME.executed.ipynb beside each\n"+
		"notebook. A file that is there is replaced only if an earlier run wrote it and\n"+
		"nobody changed its cells; move any other one away first")
	r := addRunFlags(f)
	paths, err := parse(f, args, 1, -1, someNotebooks)
	if err != nil {
		return err
	}
	if other, err := builtKernel(paths); other != "" || err != nil {
		return handOver(other, err)
	}
	p, err := executedCopies.prepare(*out, paths)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return p.each(ctx, func(t target) error {
		n, failed := r.execute(ctx, t.notebook)
		if n == nil {
			return failed
		}
		// The copy of a failed run shows how far it came.
		n.MarkCopy()
		var copied bytes.Buffer
		if err := n.Write(&copied); err != nil {
			return errors.Join(failed, fmt.Errorf("%s: %w", t.notebook, err))
		}
		return errors.Join(failed, executedCopies.write(t.path, copied.Bytes()))
	})
}

const someNotebooks = "at least one notebook, a file that ends in .ipynb"
