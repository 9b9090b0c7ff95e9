// Package library describes compiled packages as the engine sees them: type
// data for the checker, and addresses of functions, variables and types for
// calls. Package symbols fills it with generated tables; the engine only
// reads it, so that neither knows how the other is made.
package library

import "io"

// Package is one compiled package that cells can import.
type Package struct {
	// Path is the import path.
	Path string
	// Export is the package's type data as written by gcexportdata.Write,
	// read lazily. Generic bodies are not part of it.
	Export func() ([]byte, error)
	// Funcs maps an exported package-level function's name to the function
	// value itself, and "T.M" or "(*T).M" to method expressions where a
	// direct entry exists (methods are otherwise reached by reflection).
	// Generic functions are absent.
	Func func(name string) any
	// Var returns a pointer to an exported package-level variable.
	Var func(name string) any
	// Type returns a typed nil pointer to an exported, non-generic named
	// type: (*T)(nil).
	Type func(name string) any
	// Source holds Go files that carry the package's generic declarations
	// (and whatever unexported code these need), by file name; nil where the
	// package has none. Declarations in these files replace the compiled
	// ones for the checker's bodies only: the types stay those of Export.
	Source map[string]string
}

// Library is a set of compiled packages.
type Library interface {
	// Lookup returns the package, or nil where the path is unknown.
	Lookup(path string) *Package
	// Paths lists all import paths that a cell may import, sorted.
	Paths() []string
	// Sources returns a reader on the doc index (signature and comment by
	// "path.Name"), for inspection; nil where none was built in.
	Docs() io.Reader
}
