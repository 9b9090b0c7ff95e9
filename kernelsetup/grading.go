package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"text/tabwriter"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/grading"
)

func runGrade(f *flag.FlagSet, args []string) error {
	json := asJSON(f)
	cell := f.Duration("timeout", time.Minute, "limit for each cell")
	whole := f.Duration("limit", 5*time.Minute, "limit for each notebook")
	paths, err := parse(f, args, 1, -1, someNotebooks)
	if err != nil {
		return err
	}
	if *cell <= 0 || *whole <= 0 {
		return &wrongUse{"-timeout and -limit want a time above 0, for example 30s"}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var failed []error
	doc := struct {
		Notebooks []grading.Result `json:"notebooks"`
	}{Notebooks: []grading.Result{}}
	p := startProgress("grading")
	for i, path := range paths {
		p.now(fmt.Sprintf("grading %d of %d, %s", i+1, len(paths), path))
		r, err := grading.File(ctx, path, grading.Options{Cell: *cell, Whole: *whole})
		if ctx.Err() != nil {
			failed = append(failed, fmt.Errorf("stopped; not graded: %d of %d notebooks, from %s on", len(paths)-i, len(paths), path))
			break
		}
		if err != nil {
			failed = append(failed, err)
			continue
		}
		doc.Notebooks = append(doc.Notebooks, r)
	}
	p.end()
	return errors.Join(append([]error{say(*json, doc, func(w io.Writer) { printGrades(w, doc.Notebooks) })}, failed...)...)
}

// printGrades writes a line for each exercise, and one for each notebook.
func printGrades(w io.Writer, all []grading.Result) {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, r := range all {
		fmt.Fprintf(t, "%s\t%s\t%d of %d pass\n", r.File, r.Notebook, r.Passed, len(r.Exercises))
		for _, o := range r.Exercises {
			word := "passes"
			if !o.Passed {
				word = o.Mistake
			}
			fmt.Fprintf(t, "\t%s\t%s\n", o.Exercise, word)
		}
		if r.Note != "" {
			fmt.Fprintf(t, "\tnote\t%s\n", r.Note)
		}
	}
	t.Flush() // say's writer is standard output; where that fails, nobody reads
}
