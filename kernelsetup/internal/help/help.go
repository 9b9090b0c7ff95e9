// Package help helps while a cell is being written: it completes names,
// members, import paths, fields of struct literals, names between quotes and
// file paths, and explains what stands at the cursor. Offsets count bytes.
package help

import (
	"context"
	"go/types"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
)

// Notebook is what help asks of the interpreter.
type Notebook interface {
	// Check checks a cell, complete or not, without running it.
	Check(source string) *interpreter.Checked
	// Symbols lists the live names; Symbol returns one.
	Symbols() []interpreter.Symbol
	Symbol(name string) (interpreter.Symbol, bool)
	// Imports maps the live import names to packages.
	Imports() map[string]*types.Package
	// Package returns the types of a package by import path.
	Package(path string) (*types.Package, error)
	// Guarded runs what may call methods that cells declare.
	Guarded(ctx context.Context, v interpreter.Visit, f func()) *interpreter.Error
}

// Assistant completes and explains cells of one notebook.
type Assistant struct {
	notebook Notebook
	packages precompiled.Library // those that are compiled in
	dir      string
}

// New returns an assistant. File paths in strings are completed from dir, the
// notebook's folder.
func New(notebook Notebook, lib precompiled.Library, dir string) *Assistant {
	return &Assistant{notebook: notebook, packages: lib, dir: dir}
}
