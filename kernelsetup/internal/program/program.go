// Package program writes a notebook as an ordinary Go program that prints the
// same. Declarations go to the top level; a variable that a cell's statements
// define becomes a package variable; each cell becomes a function, and main
// calls these in order. A name that a later cell declares anew with another
// type gets a number, and the functions that use it are written again for the
// cells that follow.
//
// What the program cannot repeat is told in Warnings: a method that a later
// cell adds to or replaces on a type is there from the beginning.
package program

import (
	"fmt"
	"go/format"
	"go/types"
	"strings"
)

// Options tell how the program is written; the zero value writes a program
// for go run.
type Options struct {
	// Package is the package's name; empty for main.
	Package string
	// Entry is the name of the function that runs the cells; empty for main.
	Entry string
	// MayFail tells for each cell whether the cells behind it run even where
	// it panics or its last value is an error, as a notebook's tag
	// "raises-exception" asks; nil: none.
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
	Err        error
}

func (e *Error) Error() string { return fmt.Sprintf("cell %d, line %d: %v", e.Cell, e.Line, e.Err) }

// Unwrap returns what is wrong.
func (e *Error) Unwrap() error { return e.Err }

// positionError is an error on a line of the cell at hand.
type positionError struct {
	line int
	err  error
}

func (e *positionError) Error() string { return e.err.Error() }

// Write returns the cells as one program. The importer knows the packages
// that the cells import.
func Write(importer types.Importer, cells []string, opt Options) (*Program, error) {
	w := newWriter(importer)
	for i, source := range cells {
		w.mayFail = i < len(opt.MayFail) && opt.MayFail[i]
		if err := w.cell(i+1, source); err != nil {
			e := &Error{Cell: i + 1, Line: 1, Err: err}
			if p, ok := err.(*positionError); ok {
				e.Line, e.Err = p.line, p.err
			}
			return nil, e
		}
	}
	text := w.text(opt)
	formatted, err := format.Source([]byte(text))
	if err != nil {
		return nil, fmt.Errorf("the program written does not parse: %w\n%s", err, numbered(text))
	}
	w.program.Source = formatted
	return w.program, nil
}

// numbered puts line numbers before the lines, for the error above.
func numbered(text string) string {
	var b strings.Builder
	for i, line := range strings.Split(text, "\n") {
		fmt.Fprintf(&b, "%4d %s\n", i+1, line)
	}
	return b.String()
}
