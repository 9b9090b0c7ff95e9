// Package program writes a notebook as an ordinary Go program that does the
// same. It asks the interpreter what each cell means and only writes that down:
// declarations go to the top level, variables that cells define become package
// variables, each cell becomes a function, and main calls these in order.
//
// What one name stands for in the course of a notebook gets a name each in the
// program. A function or method that a later cell replaces, also for those who
// call it already, has versions: one function of its name calls the one that
// holds.
//
// Warnings tell where the program may print something else than the notebook;
// a [Refusal] is why a cell cannot be part of a program.
package program

import (
	"errors"
	"fmt"
	"go/format"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Notebook is asked for the meaning of cells, in order.
type Notebook interface {
	Learn(cell interpreter.Cell) (*interpreter.Record, *interpreter.Error)
}

// Options tell how the program is written; the zero value writes a program
// for go run.
type Options struct {
	// Package is the package's name; empty for main.
	Package string
	// Entry is the name of the function that runs the cells; empty for main.
	Entry string
	// MayFail tells for each cell whether the cells behind it run even where
	// it fails, as a notebook's tag "raises-exception" asks; nil: none.
	MayFail []bool
}

// Program is a notebook as Go source.
type Program struct {
	// Source is one formatted Go file.
	Source []byte
	// Warnings list where the program may print something else than the
	// notebook.
	Warnings []string
}

// An Error is a cell that cannot be part of a program.
type Error struct {
	// Cell and Line count from one.
	Cell, Line int
	// Err is an *interpreter.Error where the cell does not run either, else a
	// *Refusal.
	Err error
}

func (e *Error) Error() string { return fmt.Sprintf("cell %d, line %d: %v", e.Cell, e.Line, e.Err) }

// Unwrap returns what is wrong.
func (e *Error) Unwrap() error { return e.Err }

// Reason is why a cell that runs cannot be part of a program.
type Reason int

// The reasons; docs/CELLS.md lists them for users.
const (
	// UnnamedType: a variable has a type that no other package can name.
	UnnamedType Reason = iota + 1
	// MethodChanged: a cell declares a method of a type with another
	// signature or receiver than an earlier one, and the type stays.
	MethodChanged
	// RecoversDirectly: a function that calls recover itself is replaced.
	RecoversDirectly
	// UnknownDirective: a comment asks for what the kernel does not know.
	UnknownDirective
)

// A Refusal is a cell that runs in the notebook and cannot be part of a
// program.
type Refusal struct {
	Reason Reason
	Text   string
}

func (r *Refusal) Error() string { return r.Text }

// place is a failure at a line of a cell.
type place struct {
	cell, line int
	err        error
}

func (p *place) Error() string { return p.err.Error() }

// Write returns the cells as one program. The notebook must be fresh. It fails
// with an *Error.
func Write(notebook Notebook, cells []string, opt Options) (*Program, error) {
	w := newWriter()
	for i, source := range cells {
		if err := w.learn(notebook, i+1, source, i < len(opt.MayFail) && opt.MayFail[i]); err != nil {
			return nil, located(err, i+1)
		}
	}
	if err := w.write(); err != nil {
		return nil, located(err, len(cells))
	}
	text := w.text(opt)
	formatted, err := format.Source([]byte(text))
	if err != nil {
		return nil, fmt.Errorf("the program written does not parse: %w\n%s", err, numbered(text))
	}
	w.program.Source = formatted
	return w.program, nil
}

// located gives an error the cell and the line.
func located(err error, cell int) error {
	e := &Error{Cell: cell, Line: 1, Err: err}
	var at *place
	var of *interpreter.Error
	switch {
	case errors.As(err, &at):
		e.Cell, e.Line, e.Err = at.cell, max(at.line, 1), at.err
	case errors.As(err, &of):
		e.Line = max(of.Line, 1)
	}
	return e
}

// learn takes in a cell.
func (w *writer) learn(notebook Notebook, number int, source string, mayFail bool) error {
	c := &cell{writer: w, number: number, mayFail: mayFail}
	w.cells = append(w.cells, c)
	for _, d := range meaning.Directives(source) {
		if d.Name != meaning.Time || d.Late {
			return &place{number, d.Line, &Refusal{UnknownDirective, meaning.DirectiveProblem(d)}}
		}
		c.timed = true
	}
	if special, ok := meaning.Special(source); ok && special.Kind != meaning.Forget {
		c.special = &special
		return nil
	}
	_, source = meaning.Gets(source) // go.mod has what they fetched
	r, err := notebook.Learn(interpreter.Cell{Name: fmt.Sprintf("cell %d", number), Source: source})
	switch {
	case err == nil:
		c.record = r
		for _, n := range r.Notices {
			w.warn(c, "%s", n)
		}
	case mayFail:
		c.failure = err
	default:
		return err
	}
	return nil
}

func (w *writer) warn(c *cell, form string, args ...any) {
	w.program.Warnings = append(w.program.Warnings, fmt.Sprintf("cell %d: %s", c.number, fmt.Sprintf(form, args...)))
}

// numbered puts line numbers before the lines, for the error above.
func numbered(text string) string {
	var b strings.Builder
	for i, line := range strings.Split(text, "\n") {
		fmt.Fprintf(&b, "%4d %s\n", i+1, line)
	}
	return b.String()
}
