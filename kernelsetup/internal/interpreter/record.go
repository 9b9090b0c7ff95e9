package interpreter

import (
	"go/ast"
	"go/token"
	"go/types"
	"slices"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Record is what a cell meant in its notebook: what the checker made of it,
// and what it did to the names of earlier cells. Objects tell apart what one
// name stood for in the course of the notebook.
type Record struct {
	*meaning.Cell
	// Places finds the text of the declarations and steps.
	Places meaning.Places
	Info   *types.Info
	Pkg    *types.Package
	// Declared are the constants, types, functions and methods that are new,
	// or not what they were; Again those of earlier cells that rest on
	// something that changed, and have new objects now.
	Declared, Again []ast.Decl
	// Order initialises the variables of an Ordered cell.
	Order []*types.Initializer
	// Kept maps a variable to the one declared before it whose place it has.
	Kept map[*types.Var]*types.Var
	// Replaced are functions and methods that earlier callers call another
	// one for.
	Replaced []Replacement
	// Unused are names that a compiler would refuse: declared and not used.
	Unused []token.Pos
	// Notices tell what the cell changed beyond itself.
	Notices []string
}

// Replacement is a function that is called in place of another.
type Replacement struct {
	Old, New *types.Func
	// Broken says why the old one no longer compiles, where New is nil.
	Broken string
}

// Learn checks a cell and makes it part of the notebook, as Execute does, but
// does not run it.
func (e *Interpreter) Learn(cell Cell) (*Record, *Error) {
	e.run.Lock()
	defer e.run.Unlock()
	e.sources.keep = true
	pr, err := e.build(cell)
	if err != nil {
		return nil, err
	}
	return pr.record, nil
}

// record is called when the cell was checked, and before it is assembled.
func (c *change) record() *Record {
	r := &Record{Cell: c.p.Cell, Places: c.s.place.Places, Info: c.info, Pkg: c.s.pkg,
		Order: slices.Clone(c.s.info.InitOrder), Kept: map[*types.Var]*types.Var{}, Unused: c.unused}
	for _, u := range c.units {
		if u.tok != token.VAR {
			r.Declared = append(r.Declared, u.decl)
		}
	}
	for _, u := range c.again {
		r.Again = append(r.Again, u.decl)
	}
	return r
}
