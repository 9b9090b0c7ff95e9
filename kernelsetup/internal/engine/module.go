package engine

import (
	"fmt"
	"go/ast"
	"go/build"
	"go/parser"
	"go/types"
	"os"
	"path/filepath"
	"strings"
)

// module is the user's module around the notebook, whose packages are loaded
// from source.
type module struct {
	path, dir string
}

// findModule looks for go.mod from dir upwards.
func findModule(dir string) *module {
	if dir == "" {
		return nil
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil
	}
	for {
		if data, err := os.ReadFile(filepath.Join(dir, "go.mod")); err == nil {
			for _, line := range strings.Split(string(data), "\n") {
				if rest, ok := strings.CutPrefix(strings.TrimSpace(line), "module "); ok {
					return &module{path: strings.Trim(strings.TrimSpace(rest), `"`), dir: dir}
				}
			}
			return nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return nil
		}
		dir = up
	}
}

func (m *module) folder(path string) string {
	return filepath.Join(m.dir, filepath.FromSlash(strings.TrimPrefix(path, m.path)))
}

// has reports whether a path belongs to the module and has a folder.
func (m *module) has(path string) bool {
	if path != m.path && !strings.HasPrefix(path, m.path+"/") {
		return false
	}
	info, err := os.Stat(m.folder(path))
	return err == nil && info.IsDir()
}

// load parses and checks a package of the module.
func (m *module) load(ps *packages, path string) (*types.Package, error) {
	ctx := build.Default
	ctx.CgoEnabled = false
	bp, err := ctx.ImportDir(m.folder(path), 0)
	if err != nil {
		return nil, err
	}
	src := &checkedSource{info: newInfo(), own: true}
	for _, name := range bp.GoFiles {
		f, err := parser.ParseFile(ps.fset, filepath.Join(bp.Dir, name), nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		if err := refuse(f); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		src.files = append(src.files, f)
	}
	var first error
	conf := types.Config{Importer: importerFunc(ps.get), Sizes: sizes, GoVersion: goVersion,
		Error: func(err error) {
			if first == nil {
				first = err
			}
		}}
	pkg, err := conf.Check(path, ps.fset, src.files, src.info)
	if first != nil {
		return nil, first
	}
	if err != nil {
		return nil, err
	}
	src.pkg = pkg
	ps.types[path], ps.sources[path] = pkg, src
	return pkg, nil
}

// refuse reports what a file needs that cannot be run.
func refuse(f *ast.File) error {
	for _, imp := range f.Imports {
		switch imp.Path.Value {
		case `"C"`, `"unsafe"`:
			return fmt.Errorf("import %s: code that uses it cannot be run in a notebook", imp.Path.Value)
		}
	}
	for _, g := range f.Comments {
		for _, c := range g.List {
			if strings.HasPrefix(c.Text, "//go:linkname ") {
				return fmt.Errorf("//go:linkname cannot be run in a notebook")
			}
		}
	}
	return nil
}
