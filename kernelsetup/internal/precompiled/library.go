// Package precompiled describes compiled packages as the interpreter sees them: type
// data for the checker, and addresses of functions, variables and types for
// calls. Package symbols fills it with generated tables; the interpreter only
// reads it, so that neither knows how the other is made.
package precompiled

// Package is one compiled package that cells can import.
type Package struct {
	// Path is the import path.
	Path string
	// Name is the package's own name: "rand" for math/rand/v2.
	Name string
	// Module is the module that it was compiled from, PATH@VERSION; empty for
	// the standard library, and where the version is not known.
	Module string
	// Export is the package's type data as written by gcexportdata.Write,
	// read lazily. It holds no positions and no generic bodies. It is nil
	// where Source is set: such a package is checked from its source.
	Export func() ([]byte, error)
	// Requires lists the packages with Source (transitively) that Export or
	// Source mentions, dependencies first. Check these before Export is
	// read, so that the types in it are theirs.
	Requires []string
	// Func returns an exported package-level function by name: the function
	// value itself. Generic functions are absent; see Source. Methods are
	// reached by reflection.
	Func func(name string) any
	// Var returns a pointer to an exported package-level variable.
	Var func(name string) any
	// Type returns a typed nil pointer to an exported, non-generic named
	// type: (*T)(nil). For instances of generic types that occur in the
	// package's compiled API it is asked by "T[path/of/pkg.Arg]", written
	// as types.TypeString writes it with full paths: "Seq[string]" of iter.
	Type func(name string) any
	// FromSource tells that the package is none of the library's: where it is
	// loaded from a module, Func has those of its functions that have no body.
	FromSource bool
	// Imported is what the package does to the program on its import, beyond
	// its own variables; nil for most. It may be called again.
	Imported func()
	// Source holds the whole package as Go files, by file name; nil where
	// the package has no generic declarations. Generic functions and methods
	// of generic types have bodies. Everything compiled is declared without
	// a body: call it through Func, Var, Type and reflection. Variables
	// that Var knows have no initial value here. Structs that Type knows
	// keep the number and the names of their fields, but an unexported field
	// may have another type.
	Source map[string]string
}

// Importable reports whether the package comes with its types. Without, it is
// only where the true home of a type is that an importable package has as an
// alias.
func (p *Package) Importable() bool { return p.Export != nil || p.Source != nil }

// Doc is what an inspection shows of a symbol.
type Doc struct {
	// Signature is the declaration on one line where it fits, with
	// parameter names: "func Sqrt(x float64) float64".
	Signature string
	// Text is the beginning of the doc comment, in plain paragraphs.
	Text string
}

// Library is a set of compiled packages.
type Library interface {
	// Lookup returns the package, or nil where the path is unknown. It also
	// knows a few packages that cells cannot import but Source does.
	Lookup(path string) *Package
	// Paths lists all import paths that a cell may import, sorted.
	Paths() []string
	// Doc describes a symbol: "Name", "Type.Method" or "Type.Field" of the
	// package, or the package itself for the empty name.
	Doc(path, symbol string) (Doc, bool)
}
