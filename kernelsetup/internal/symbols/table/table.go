// Package table is the form of the generated symbol tables. They are data
// only: linking them costs nothing at start.
package table

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// Symbols is a list of names, sorted, with a value for each.
type Symbols struct {
	Names  []string
	Values []any
}

// Lookup returns the value of a name, nil where it is not in the list.
func (s *Symbols) Lookup(name string) any {
	i, ok := slices.BinarySearch(s.Names, name)
	if !ok {
		return nil
	}
	return s.Values[i]
}

// Package is the table of one compiled package.
type Package struct {
	Path, Name string
	// Funcs holds function values, Vars pointers to variables, Types typed
	// nil pointers.
	Funcs, Vars, Types Symbols
}

// Set is the tables that one generated package holds.
type Set struct {
	// Packages is sorted by import path.
	Packages []*Package
	// Hidden are packages that cells cannot import, with types that
	// Packages declare as aliases; sorted by import path.
	Hidden []*Package
	// Assembly are packages that are loaded from source where a module has
	// them, with functions that they define in assembly.
	Assembly []*Package
	// Acting holds, by import path, what packages do to the program when a
	// cell imports them.
	Acting map[string]func()
	// Instances holds instances of generic types that occur in the
	// packages' API, by full name: "iter.Seq[string]".
	Instances Symbols
	// Types holds type data by import path, and for packages with generic
	// declarations instead their source, pairs of file name and text, by
	// packed.SourceKey. The first archive that knows a key wins. An entry's
	// attributes are the packages it requires.
	Types []*packed.Archive
	// Docs holds triples of symbol, signature and text, sorted by symbol.
	Docs []*packed.Archive
}

// Lookup returns the table of a package, nil where the set has none.
func (s *Set) Lookup(path string) *Package {
	if p := find(s.Packages, path); p != nil {
		return p
	}
	return find(s.Hidden, path)
}

func find(list []*Package, path string) *Package {
	i, ok := slices.BinarySearchFunc(list, path, func(p *Package, path string) int {
		switch {
		case p.Path < path:
			return -1
		case p.Path > path:
			return 1
		}
		return 0
	})
	if !ok {
		return nil
	}
	return list[i]
}
