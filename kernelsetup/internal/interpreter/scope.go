package interpreter

import (
	"go/ast"
	"go/token"
	"go/types"
	"reflect"
)

// Symbol is one live name of the notebook.
type Symbol struct {
	Name   string
	Object types.Object
	// Cell is the name of the cell that declared it.
	Cell string
	// Doc is the declaration's comment, Source its text.
	Doc, Source string
	// Value is a variable's present value; invalid for other kinds.
	Value reflect.Value
}

// Checked is a cell as far as it could be understood: complete for a correct
// one, partial for one that is being typed.
type Checked struct {
	// Fset places the nodes below.
	Fset *token.FileSet
	// Decls and Stmts are the cell's declarations and statements.
	Decls []ast.Decl
	Stmts []ast.Stmt
	// Info is what the checker found out; nodes in error are missing.
	Info *types.Info
	// Pkg is the package with the notebook's names in scope.
	Pkg *types.Package
	// Errors are all errors found, in source order.
	Errors []*Error

	place placer
}

// Offset returns the byte offset in the cell's source of a position in Decls
// or Stmts, or -1.
func (c *Checked) Offset(p token.Pos) int { return c.place.Offset(p) }

// Check parses and checks a cell without running it or changing the notebook.
// It tolerates errors and returns what it found.
func (e *Interpreter) Check(source string) *Checked { return e.check(source) }

// Symbols lists the live names, sorted.
func (e *Interpreter) Symbols() []Symbol { return e.symbols() }

// Symbol returns one live name.
func (e *Interpreter) Symbol(name string) (Symbol, bool) { return e.symbol(name) }

// Imports maps the live import names to their packages.
func (e *Interpreter) Imports() map[string]*types.Package { return e.liveImports() }

// Package returns the type data of a package, for completion and inspection.
func (e *Interpreter) Package(path string) (*types.Package, error) { return e.importPackage(path) }
