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

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/course"
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
	hide := f.Bool("hide-code", false, "leave out the source of cells, and what is there only for somebody who\nworks in the notebook: exercises with their checks, and controls")
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
	var checks map[string]bool
	if *hide {
		if checks, err = checksOfCourse(); err != nil {
			return err
		}
	}
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
		previous, next := index.beside(t)
		err := report.Write(&page, n, report.Options{
			Dir: filepath.Dir(t.notebook), Folder: filepath.Dir(t.path), HideCode: *hide, Checks: checks,
			Index: p.index != "", Previous: previous, Next: next})
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
	// planned are the pages that there will be, as far as can be told before.
	planned []report.Entry
	at      map[target]int
	pages   int
}

// newIndex returns an index in which no notebook has run yet.
func newIndex(p *plan) *index {
	x := &index{at: map[target]int{}}
	for i, t := range p.targets {
		x.at[t] = i
		x.entries = append(x.entries, report.Entry{Title: baseName(t.notebook), Trouble: "not run"})
		var planned report.Entry // not linked
		if p.index != "" {
			if n, err := nbformat.ReadFile(t.notebook); err == nil {
				planned = entryOf(t, n)
			}
		}
		x.planned = append(x.planned, planned)
	}
	return x
}

// entryOf is a page without trouble.
func entryOf(t target, n *nbformat.Notebook) report.Entry {
	e := report.Entry{File: filepath.Base(t.path), Title: n.Title(), Question: report.Question(n)}
	if e.Title == "" {
		e.Title = baseName(t.notebook)
	}
	return e
}

// beside returns the pages before and after one.
func (x *index) beside(t target) (previous, next report.Entry) {
	i := x.at[t]
	if i > 0 {
		previous = x.planned[i-1]
	}
	if i+1 < len(x.planned) {
		next = x.planned[i+1]
	}
	return previous, next
}

// checksOfCourse are the cells that judge an exercise, by their IDs.
func checksOfCourse() (map[string]bool, error) {
	all, err := course.Checks()
	ids := map[string]bool{}
	for _, checks := range all {
		for _, c := range checks {
			ids[c.Cell] = true
		}
	}
	return ids, err
}

func (x *index) failed(t target, err error) {
	x.entries[x.at[t]].Trouble = firstLine(err)
}

func (x *index) written(t target, n *nbformat.Notebook, failed error) {
	x.pages++
	e := entryOf(t, n)
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
