// Package assist helps while a cell is being written: it completes names,
// members, import paths, fields of struct literals and file paths, and
// explains what stands at the cursor. Offsets count bytes.
package assist

import (
	"context"
	"go/types"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/engine"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/library"
)

// Notebook is what assist asks of the engine.
type Notebook interface {
	// Check checks a cell, complete or not, without running it.
	Check(source string) *engine.Checked
	// Symbols lists the live names; Symbol returns one.
	Symbols() []engine.Symbol
	Symbol(name string) (engine.Symbol, bool)
	// Imports maps the live import names to packages.
	Imports() map[string]*types.Package
	// Package returns the types of a package by import path.
	Package(path string) (*types.Package, error)
	// Guarded runs what may call methods that cells declare.
	Guarded(ctx context.Context, v engine.Visit, f func()) *engine.Error
}

// Assistant completes and explains cells of one notebook.
type Assistant struct {
	notebook Notebook
	library  library.Library
	dir      string
}

// New returns an assistant. File paths in strings are completed from dir, the
// notebook's folder.
func New(notebook Notebook, lib library.Library, dir string) *Assistant {
	return &Assistant{notebook: notebook, library: lib, dir: dir}
}
