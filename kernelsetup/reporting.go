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

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/report"
)

var pages = outputKind{
	command: "report", beside: ".html", inFolder: ".html", index: report.IndexName,
	ours: report.WrittenHere,
}

func runReport(f *flag.FlagSet, args []string) error {
	out := addOut(f, "`OUT` is where the pages go: a file for one notebook, a folder for several.\n"+
		"It is a folder for one too, where it ends in a slash or is there as a folder;\n"+
		"a missing folder is made. For several notebooks an index.html links the pages.\n"+
		"Default: NAME.html beside each notebook. A file that is there is replaced only\n"+
		"if an earlier report wrote it; move any other one away first")
	stored := f.Bool("stored", false, "take the outputs stored in the notebook instead of running it")
	hide := f.Bool("hide-code", false, "leave out the source of cells")
	r := addRunFlags(f)
	paths, err := parse(f, args, 1, -1, someNotebooks)
	if err != nil {
		return err
	}
	if other, err := builtKernel(paths); other != "" || err != nil {
		return handOver(other, err)
	}
	p, err := pages.prepare(*out, paths)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	index := newIndex(p)
	failed := p.each(ctx, func(t target) error {
		var n *nbformat.Notebook
		var failed error
		if *stored {
			n, failed = nbformat.ReadFile(t.notebook)
		} else {
			n, failed = r.execute(ctx, t.notebook)
		}
		if n == nil {
			index.failed(t, failed)
			return failed
		}
		var page bytes.Buffer
		err := report.Write(&page, n, report.Options{
			Dir: filepath.Dir(t.notebook), Folder: filepath.Dir(t.path), HideCode: *hide, Index: p.index != ""})
		if err == nil {
			err = pages.write(t.path, page.Bytes())
		}
		if err != nil {
			err = fmt.Errorf("%s: %w", t.notebook, err)
			index.failed(t, err)
			return errors.Join(failed, err)
		}
		index.written(t, n, failed)
		return failed
	})
	if p.index == "" {
		return failed
	}
	var page bytes.Buffer
	if err := report.WriteIndex(&page, index.entries); err != nil {
		return errors.Join(failed, err)
	}
	if err := pages.write(p.index, page.Bytes()); err != nil {
		return errors.Join(failed, err)
	}
	if !r.quiet {
		fmt.Printf("%s links %d of %d notebooks\n", p.index, index.pages, len(index.entries))
	}
	return failed
}

// An index collects what became of each notebook, in the order of the call.
type index struct {
	entries []report.Entry
	at      map[target]int
	pages   int
}

// newIndex returns an index in which no notebook has run yet.
func newIndex(p *plan) *index {
	x := &index{at: map[target]int{}}
	for i, t := range p.targets {
		x.at[t] = i
		x.entries = append(x.entries, report.Entry{Title: baseName(t.notebook), Trouble: "not run"})
	}
	return x
}

func (x *index) failed(t target, err error) {
	x.entries[x.at[t]].Trouble = firstLine(err)
}

func (x *index) written(t target, n *nbformat.Notebook, failed error) {
	x.pages++
	e := report.Entry{File: filepath.Base(t.path), Title: n.Title(), Question: report.Question(n)}
	if e.Title == "" {
		e.Title = baseName(t.notebook)
	}
	if failed != nil {
		e.Trouble = firstLine(failed)
	}
	x.entries[x.at[t]] = e
}

// firstLine is an error in one line.
func firstLine(err error) string {
	line, _, _ := strings.Cut(err.Error(), "\n")
	return line
}
