package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"golang.org/x/tools/go/gcexportdata"
	"golang.org/x/tools/go/packages"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// files makes all generated files of the set, by name. The standard library is
// read by every release's toolchain, the project's own packages, which are the
// same for all, by the one in use.
func (g *generator) files(list []goRelease) (map[string][]byte, error) {
	if g.set == "own" {
		list = list[:1]
	}
	all, err := collectAll(g, list)
	if err != nil {
		return nil, err
	}
	return merge(g.set, all)
}

// collect reads the set with the toolchain in use.
func (g *generator) collect() (*collection, error) {
	paths, err := g.paths()
	if err != nil {
		return nil, err
	}
	c := new(collection)
	reference, common, err := g.exports(paths, c)
	if err != nil {
		return nil, err
	}
	loaded := reference.loaded
	tables := newTables(g.set, paths)
	for _, path := range sortedKeys(loaded) {
		pkg := loaded[path]
		if !slices.Contains(g.differing, path) {
			tables.add(pkg.Types, common[path])
		}
		if path != nativePath {
			c.Docs = append(c.Docs, packed.Entry{Key: path, Data: packed.Texts(g.docs(pkg))})
		}
	}
	c.Files = tables.files()
	return c, nil
}

// exported is what a load of one platform gives.
type exported struct {
	loaded map[string]*packages.Package
	// types holds type data under the import path, and source texts under
	// packed.SourceKey.
	types []packed.Entry
}

// kind tells what a table holds for a name; names that differ in kind
// between platforms are in no table.
type kind byte

const (
	other kind = iota
	function
	variable
	namedType
)

// exports fills c with the type data of all platforms, and with the tables of
// what differs between them. It returns the reference platform's packages and
// the names common to all.
func (g *generator) exports(paths []string, c *collection) (*exported, map[string]map[string]kind, error) {
	targets := g.targets()
	var reference *exported
	common := make(map[string]map[string]kind)
	for i, p := range targets {
		e, err := g.export(p, paths)
		if err != nil {
			return nil, nil, fmt.Errorf("%s/%s: %w", p.os, p.arch, err)
		}
		c.Types = append(c.Types, e.types)
		c.Differing = append(c.Differing, g.differingTables(e))
		if i == 0 {
			reference = e
		}
		for path, pkg := range e.loaded {
			kinds := kindsOf(pkg.Types)
			if i == 0 {
				common[path] = kinds
				continue
			}
			for name, k := range common[path] {
				if kinds[name] != k {
					delete(common[path], name)
				}
			}
		}
	}
	return reference, common, nil
}

// targets are the platforms that the set is made for.
func (g *generator) targets() []platform {
	switch g.set {
	case "own":
		return platforms[:1] // ours are the same everywhere
	case added:
		return []platform{here}
	}
	return platforms
}

// differingTables makes the tables of one platform's own packages.
func (g *generator) differingTables(e *exported) map[string][]byte {
	t := newTables(g.set, sortedKeys(e.loaded))
	for _, path := range g.differing {
		if pkg := e.loaded[path]; pkg != nil {
			t.add(pkg.Types, kindsOf(pkg.Types))
		}
	}
	slices.SortFunc(t.packages, func(a, b packageTable) int { return strings.Compare(a.path, b.path) })
	return t.platformFiles()
}

// export loads the packages for one platform and writes their type data.
func (g *generator) export(p platform, paths []string) (*exported, error) {
	paths, err := g.present(p, paths)
	if err != nil {
		return nil, err
	}
	generic, err := g.genericFolders(p, paths)
	if err != nil {
		return nil, err
	}
	loaded, err := g.load(p, paths, func(folder string) bool { return generic[folder] })
	if err != nil {
		return nil, err
	}
	e := &exported{loaded: loaded}
	sourced := make(map[string]bool)
	for _, path := range sortedKeys(loaded) {
		sourced[path] = path != nativePath && hasGenerics(loaded[path].Types)
	}
	first := g.readFirst(sourced, g.pinned)
	for _, path := range sortedKeys(loaded) {
		pkg := loaded[path]
		if sourced[path] {
			files, imports, err := g.source(pkg)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", path, err)
			}
			e.types = append(e.types, packed.Entry{Key: packed.SourceKey(path), Attributes: only(imports, first), Data: packed.Texts(files)})
			continue
		}
		var buf bytes.Buffer
		if err := gcexportdata.Write(&buf, nil, pkg.Types); err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		mentioned, err := mentions(path, buf.Bytes())
		if err != nil {
			return nil, err
		}
		e.types = append(e.types, packed.Entry{Key: path, Attributes: only(mentioned, first), Data: buf.Bytes()})
	}
	return e, nil
}

// genericFolders finds the folders whose function bodies are needed: those of
// packages with generic declarations, seen in the syntax alone.
func (g *generator) genericFolders(p platform, paths []string) (map[string]bool, error) {
	if len(paths) == 0 {
		return nil, nil
	}
	out, err := g.goList(p, append([]string{"-f", "{{.Dir}}"}, paths...)...)
	if err != nil {
		return nil, err
	}
	generic := make(map[string]bool)
	for folder := range strings.Lines(out) { // a folder may have spaces
		folder = strings.TrimRight(folder, "\r\n")
		found, err := folderHasGenerics(folder)
		if err != nil {
			return nil, err
		}
		generic[folder] = found
	}
	return generic, nil
}

// mentions lists the packages whose types the data mention.
func mentions(path string, data []byte) ([]string, error) {
	imports := make(map[string]*types.Package)
	pkg, err := gcexportdata.Read(bytes.NewReader(data), token.NewFileSet(), imports, path)
	if err != nil {
		return nil, fmt.Errorf("%s: reading type data back: %w", path, err)
	}
	var paths []string
	for _, p := range pkg.Imports() {
		paths = append(paths, p.Path())
	}
	return paths, nil
}

// readFirst returns the packages that must be known to the checker before
// type data which mention them: those checked from source, and for the
// project's own packages, whose data are made on one platform by one release,
// those that differ between platforms or releases.
func (g *generator) readFirst(sourced map[string]bool, pinned goRelease) func(path string) bool {
	if g.set == "std" {
		return func(path string) bool { return sourced[path] }
	}
	common, varying := readArchives(filepath.Join(g.root, "kernelsetup/internal/symbols/std"), pinned, g.targets()[0])
	return func(path string) bool {
		if sourced[path] || common.Has(packed.SourceKey(path)) {
			return true
		}
		return slices.ContainsFunc(varying, func(a *packed.Archive) bool {
			return a.Has(path) || a.Has(packed.SourceKey(path))
		})
	}
}

func only(paths []string, keep func(string) bool) []string {
	var kept []string
	for _, p := range paths {
		if keep(p) {
			kept = append(kept, p)
		}
	}
	slices.Sort(kept)
	return kept
}

// hasGenerics reports whether a package exports a generic function or type.
func hasGenerics(pkg *types.Package) bool {
	for _, name := range pkg.Scope().Names() {
		if obj := pkg.Scope().Lookup(name); obj.Exported() && isGeneric(obj) {
			return true
		}
	}
	return false
}

func isGeneric(obj types.Object) bool {
	switch obj := obj.(type) {
	case *types.Func:
		return obj.Signature().TypeParams().Len() > 0
	case *types.TypeName:
		switch t := obj.Type().(type) {
		case *types.Named:
			return t.TypeParams().Len() > 0
		case *types.Alias:
			return t.TypeParams().Len() > 0
		}
	}
	return false
}

// kindsOf tells for each exported name what a table can hold for it.
func kindsOf(pkg *types.Package) map[string]kind {
	kinds := make(map[string]kind)
	for _, name := range pkg.Scope().Names() {
		obj := pkg.Scope().Lookup(name)
		if !obj.Exported() || isGeneric(obj) {
			continue
		}
		switch obj := obj.(type) {
		case *types.Func:
			kinds[name] = function
		case *types.Var:
			kinds[name] = variable
		case *types.TypeName:
			// A constraint is no type of a value.
			if t, ok := obj.Type().Underlying().(*types.Interface); !ok || t.IsMethodSet() {
				kinds[name] = namedType
			}
		}
	}
	return kinds
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// declaresGenerics reports whether a file declares something with type
// parameters.
func declaresGenerics(file *ast.File) bool {
	for _, decl := range file.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			if decl.Type.TypeParams != nil {
				return true
			}
		case *ast.GenDecl:
			for _, spec := range decl.Specs {
				if t, ok := spec.(*ast.TypeSpec); ok && t.TypeParams != nil {
					return true
				}
			}
		}
	}
	return false
}
