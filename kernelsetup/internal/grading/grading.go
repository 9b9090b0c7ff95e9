// Package grading judges notebooks that learners have handed in, by the checks
// that the course's notebooks have.
//
// The notebook runs as it was handed in, in a process of its own, beside a
// fresh copy of the course's logs. Only the checks are put back: whatever stands
// in their cells is replaced by what the course has there.
package grading

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/batch"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/course"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/supervisor"
	"github.com/bonnetbook/bonnetbook/pkg/exercise"
)

// Options configure a run.
type Options struct {
	// Cell limits each cell, Whole the notebook; zero: no limit.
	Cell, Whole time.Duration
	// Worker starts the process in which the notebook's cells run; the zero
	// value is this program. Its Dir is set here.
	Worker supervisor.Options
}

// Result is what came of one notebook.
type Result struct {
	File string `json:"file"`
	// Notebook is the one of the course that it was made from.
	Notebook  string    `json:"notebook"`
	Exercises []Outcome `json:"exercises"`
	Passed    int       `json:"passed"`
	// Note says what kept the notebook from running to its end.
	Note string `json:"note,omitempty"`
}

// Outcome is what came of one exercise.
type Outcome struct {
	Exercise string `json:"exercise"`
	Passed   bool   `json:"passed"`
	// Mistake is the ID of what went wrong, as package exercise has it, or one
	// of the words below; empty for a right answer.
	Mistake string `json:"mistake,omitempty"`
	// Says is the hint, or why nothing was judged.
	Says string `json:"says,omitempty"`
}

// What Mistake may say beside the mistakes of the exercises.
const (
	// Failed is a check that failed as a cell: its answer is of no use to it,
	// or a cell above it failed.
	Failed = "failed"
	// NotReached is a check that did not run before the time was over.
	NotReached = "not reached"
)

// File grades the notebook at a path. The error says that it can't be graded:
// it can't be read, comes from no notebook of the course with exercises, or the
// process can't be started. A cell that fails or takes too long is no error.
func File(ctx context.Context, path string, opt Options) (Result, error) {
	n, err := nbformat.ReadFile(path)
	if err != nil {
		return Result{}, err
	}
	courses, err := course.Checks()
	if err != nil {
		return Result{}, err
	}
	name, checks := origin(n, courses)
	if name == "" {
		return Result{}, fmt.Errorf("%s: none of its cells is a check of the course; which notebook was it?", path)
	}
	cells := restore(n, checks)
	home, err := os.MkdirTemp("", "bonnetbook-grade-")
	if err != nil {
		return Result{}, err
	}
	defer os.RemoveAll(home)
	if _, err := course.Write(home); err != nil {
		return Result{}, err
	}
	r := Result{File: path, Notebook: name}
	opt.Worker.Dir = filepath.Join(home, course.Notebooks)
	worker, err := supervisor.Start(opt.Worker)
	if err != nil {
		return Result{}, err
	}
	bounded := ctx
	if opt.Whole > 0 {
		var cancel context.CancelFunc
		bounded, cancel = context.WithTimeout(ctx, opt.Whole)
		defer cancel()
	}
	failed := batch.Run(bounded, n, worker, batch.Options{KeepGoing: true, Timeout: opt.Cell})
	switch {
	case ctx.Err() != nil:
		return Result{}, fmt.Errorf("%s: %w", path, ctx.Err())
	case bounded.Err() != nil:
		r.Note = fmt.Sprintf("stopped after %v", opt.Whole)
	case failed != nil:
		r.Note, _, _ = strings.Cut(failed.Error(), "\n")
	}
	for i, check := range checks {
		o := outcome(cells[i], check.Exercise)
		if o.Passed {
			r.Passed++
		}
		r.Exercises = append(r.Exercises, o)
	}
	return r, nil
}

// origin finds the notebook of the course that has most of the checks.
func origin(n *nbformat.Notebook, courses map[string][]course.Check) (name string, checks []course.Check) {
	most := 0
	for other, all := range courses {
		found := 0
		for _, check := range all {
			if cellOf(n, check) != nil {
				found++
			}
		}
		if found > most || found == most && found > 0 && other < name {
			name, checks, most = other, all, found
		}
	}
	return name, checks
}

// cellOf finds the cell of a check by its ID, or, where a front end has changed
// that, by the function that it calls.
func cellOf(n *nbformat.Notebook, check course.Check) *nbformat.Cell {
	for _, c := range n.Cells {
		if c.Kind() == nbformat.Code && c.ID() == check.Cell {
			return c
		}
	}
	call, _, _ := strings.Cut(check.Source, "(")
	for _, c := range n.Cells {
		if c.Kind() == nbformat.Code && strings.HasPrefix(strings.TrimSpace(c.Source()), call+"(") {
			return c
		}
	}
	return nil
}

// restore puts the checks back in their cells, or at the end where a cell is
// gone, and returns the cells.
func restore(n *nbformat.Notebook, checks []course.Check) (cells []*nbformat.Cell) {
	for _, check := range checks {
		c := cellOf(n, check)
		if c == nil {
			c = nbformat.NewCell(nbformat.Code, "")
			n.Cells = append(n.Cells, c)
		}
		c.SetSource(check.Source)
		cells = append(cells, c)
	}
	return cells
}

// outcome reads what a check has said.
func outcome(c *nbformat.Cell, id string) Outcome {
	o := Outcome{Exercise: id, Mistake: NotReached}
	for _, out := range c.Outputs() {
		if out.Kind == nbformat.Failure {
			return Outcome{Exercise: id, Mistake: Failed, Says: out.ErrorValue}
		}
		form, ok := out.Data[exercise.MIME]
		if !ok {
			continue
		}
		data, err := json.Marshal(form)
		if err != nil {
			continue
		}
		var j exercise.Judgement
		if json.Unmarshal(data, &j) == nil && j.Exercise == id {
			o.Passed, o.Mistake, o.Says = j.Passed, j.Mistake, j.Says
		}
	}
	return o
}
