package main

import (
	"bytes"
	"crypto/sha256"
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

// files makes all generated files of the set, by name.
func (g *generator) files() (map[string][]byte, error) {
	paths, err := g.paths()
	if err != nil {
		return nil, err
	}
	files := make(map[string][]byte)
	reference, common, err := g.exports(paths, files)
	if err != nil {
		return nil, err
	}
	loaded := reference.loaded

	var docs []packed.Entry
	tables := newTables(g.set)
	for _, path := range sortedKeys(loaded) {
		pkg := loaded[path]
		tables.add(pkg.Types, common[path])
		if path != nativePath {
			docs = append(docs, packed.Entry{Key: path, Data: packed.Texts(g.docs(pkg))})
		}
	}
	if files["docs.bin"], err = packed.Write(docs); err != nil {
		return nil, err
	}
	return files, tables.write(files)
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

// exports fills files with the type data of all platforms: those that are
// equal everywhere in types.bin, the others in one file per platform. It
// returns the reference platform's packages and the names common to all.
func (g *generator) exports(paths []string, files map[string][]byte) (*exported, map[string]map[string]kind, error) {
	targets := platforms
	if g.set == "own" {
		targets = platforms[:1] // ours are the same everywhere
	}
	var reference *exported
	common := make(map[string]map[string]kind)
	data := make(map[string][][]byte)
	entries := make([][]packed.Entry, len(targets))
	for i, p := range targets {
		e, err := g.export(p, paths)
		if err != nil {
			return nil, nil, fmt.Errorf("%s/%s: %w", p.os, p.arch, err)
		}
		if i == 0 {
			reference = e
		}
		entries[i] = e.types
		for _, t := range e.types {
			sum := sha256.Sum256(append([]byte(strings.Join(t.Attributes, ",")+"\n"), t.Data...))
			data[t.Key] = append(data[t.Key], sum[:])
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
	same := func(key string) bool {
		return len(data[key]) == len(targets) && !slices.ContainsFunc(data[key], func(d []byte) bool { return !bytes.Equal(d, data[key][0]) })
	}
	var shared []packed.Entry
	for i, p := range targets {
		var varying []packed.Entry
		for _, t := range entries[i] {
			if !same(t.Key) {
				varying = append(varying, t)
			} else if i == 0 {
				shared = append(shared, t)
			}
		}
		if len(targets) > 1 {
			file, err := packed.Write(varying)
			if err != nil {
				return nil, nil, err
			}
			files["types_"+p.os+"_"+p.arch+".bin"] = file
		}
	}
	file, err := packed.Write(shared)
	files["types.bin"] = file
	return reference, common, err
}

// export loads the packages for one platform and writes their type data.
func (g *generator) export(p platform, paths []string) (*exported, error) {
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
	first := g.readFirst(sourced)
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
// project's own packages, whose data are made on one platform, those that
// differ between platforms.
func (g *generator) readFirst(sourced map[string]bool) func(path string) bool {
	if g.set != "own" {
		return func(path string) bool { return sourced[path] }
	}
	std := readArchives(filepath.Join(filepath.Dir(g.dir), "std"))
	return func(path string) bool {
		return sourced[path] || std.common.Has(packed.SourceKey(path)) || std.varying.Has(path) || std.varying.Has(packed.SourceKey(path))
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
