package precompiled

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"slices"

	"golang.org/x/tools/go/gcexportdata"
)

// An Importer reads a library's packages for the checker. It is not safe for
// concurrent use.
type Importer struct {
	lib     Library
	fset    *token.FileSet
	imports map[string]*types.Package
}

// NewImporter returns an importer that has read nothing yet.
func NewImporter(lib Library) *Importer {
	return &Importer{lib, token.NewFileSet(), map[string]*types.Package{"unsafe": types.Unsafe}}
}

// Import returns a package's types, reading them and what they require first.
func (r *Importer) Import(path string) (*types.Package, error) {
	if p := r.imports[path]; p != nil && p.Complete() {
		return p, nil
	}
	pkg := r.lib.Lookup(path)
	if pkg == nil || !pkg.Importable() {
		return nil, fmt.Errorf("no package %q in the library", path)
	}
	for _, need := range pkg.Requires {
		if _, err := r.Import(need); err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
	}
	if pkg.Source != nil {
		return r.check(pkg)
	}
	data, err := pkg.Export()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return gcexportdata.Read(bytes.NewReader(data), r.fset, r.imports, path)
}

// check makes the types of a package that comes as source.
func (r *Importer) check(pkg *Package) (*types.Package, error) {
	var names []string
	for name := range pkg.Source {
		names = append(names, name)
	}
	slices.Sort(names)
	var files []*ast.File
	for _, name := range names {
		file, err := parser.ParseFile(r.fset, pkg.Path+"/"+name, pkg.Source[name], parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	config := types.Config{Importer: r, Sizes: types.SizesFor("gc", "amd64")}
	checked, err := config.Check(pkg.Path, r.fset, files, nil)
	if err != nil {
		return nil, fmt.Errorf("source of %s: %w", pkg.Path, err)
	}
	r.imports[pkg.Path] = checked
	return checked, nil
}
