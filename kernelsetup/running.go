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

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/evaluate"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/program"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/report"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/runner"
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
	runner.Options
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

// execute runs a notebook file in its own folder, as Jupyter would.
func (r *runFlags) execute(path string) (*nbformat.Notebook, error) {
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
	ev, err := evaluate.New(dir)
	if err != nil {
		return nil, err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	started := time.Now()
	if err := runner.Run(ctx, n, ev, r.Options); err != nil {
		return n, fmt.Errorf("%s: %w", path, err)
	}
	if !r.quiet {
		fmt.Printf("%s ran in %.1f s\n", path, time.Since(started).Seconds())
	}
	return n, nil
}

func runRun(f *flag.FlagSet, args []string) error {
	out := f.String("o", "", "file for the executed copy (one notebook), or folder; default: NAME.executed.ipynb beside the notebook")
	r := addRunFlags(f)
	paths, err := parse(f, args, 1, -1, someNotebooks)
	if err != nil {
		return err
	}
	return eachNotebook(paths, func(path string) error {
		n, failed := r.execute(path)
		if n == nil {
			return failed
		}
		target, err := outputPath(*out, path, ".executed.ipynb", ".ipynb")
		if err != nil {
			return err
		}
		if same(target, path) {
			return fmt.Errorf("%s: the executed copy would replace the notebook itself; choose another -o", path)
		}
		// The copy of a failed run shows how far it came.
		if err := n.WriteFile(target); err != nil {
			return err
		}
		return failed
	})
}

func runReport(f *flag.FlagSet, args []string) error {
	out := f.String("o", "", "file for the page (one notebook), or folder; default: NAME.html beside the notebook")
	stored := f.Bool("stored", false, "take the outputs stored in the notebook instead of running it")
	hide := f.Bool("hide-code", false, "leave out the source of cells")
	r := addRunFlags(f)
	paths, err := parse(f, args, 1, -1, someNotebooks)
	if err != nil {
		return err
	}
	return eachNotebook(paths, func(path string) error {
		var n *nbformat.Notebook
		var failed error
		if *stored {
			n, failed = nbformat.ReadFile(path)
		} else {
			n, failed = r.execute(path)
		}
		if n == nil {
			return failed
		}
		target, err := outputPath(*out, path, ".html", ".html")
		if err != nil {
			return err
		}
		var page bytes.Buffer
		if err := report.Write(&page, n, report.Options{Dir: filepath.Dir(path), HideCode: *hide}); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		if err := os.WriteFile(target, page.Bytes(), 0o644); err != nil {
			return err
		}
		return failed
	})
}

func runProgram(f *flag.FlagSet, args []string) error {
	out := f.String("o", "", "file for the program; default: standard output")
	paths, err := parse(f, args, 1, 1, "one notebook")
	if err != nil {
		return err
	}
	path := paths[0]
	n, err := nbformat.ReadFile(path)
	if err != nil {
		return err
	}
	var cells []string
	var mayFail []bool
	for _, c := range n.Cells {
		if c.Kind() == nbformat.Code {
			cells = append(cells, c.Source())
			mayFail = append(mayFail, c.HasTag("raises-exception"))
		}
	}
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return err
	}
	ev, err := evaluate.New(dir)
	if err != nil {
		return err
	}
	p, err := program.Write(ev, cells, program.Options{MayFail: mayFail})
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	for _, w := range p.Warnings {
		fmt.Fprintln(os.Stderr, "note:", w)
	}
	if *out == "" {
		_, err = os.Stdout.Write(p.Source)
		return err
	}
	return os.WriteFile(*out, p.Source, 0o644)
}

func runStrip(f *flag.FlagSet, args []string) error {
	paths, err := parse(f, args, 1, -1, someNotebooks)
	if err != nil {
		return err
	}
	return eachNotebook(paths, func(path string) error {
		n, err := nbformat.ReadFile(path)
		if err != nil {
			return err
		}
		n.StripOutputs()
		return n.WriteFile(path)
	})
}

const someNotebooks = "at least one notebook, a file that ends in .ipynb"

// eachNotebook goes through all notebooks and returns the errors of those
// that failed.
func eachNotebook(paths []string, do func(path string) error) error {
	var failed []error
	for _, path := range paths {
		if err := do(path); err != nil {
			failed = append(failed, err)
		}
	}
	return errors.Join(failed...)
}

// outputPath decides where the output of one notebook goes: beside it, into a
// folder, or into a named file.
func outputPath(out, notebook, besideExt, dirExt string) (string, error) {
	base := strings.TrimSuffix(filepath.Base(notebook), ".ipynb")
	if out == "" {
		return filepath.Join(filepath.Dir(notebook), base+besideExt), nil
	}
	if info, err := os.Stat(out); err == nil && info.IsDir() || strings.HasSuffix(out, "/") {
		if err := os.MkdirAll(out, 0o755); err != nil {
			return "", err
		}
		return filepath.Join(out, base+dirExt), nil
	}
	return out, nil
}

func same(a, b string) bool {
	ia, errA := os.Stat(a)
	ib, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(ia, ib)
}
