package engine

import (
	"fmt"
	"go/ast"
	"go/build"
	"go/parser"
	"go/scanner"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"slices"
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

// sourceError is why a package of the module cannot be used, with the place
// in its file where there is one.
type sourceError struct {
	path string // the package's
	pos  token.Pos
	msg  string
}

func (e *sourceError) Error() string { return "package " + e.path + ": " + e.msg }

// load parses and checks a package of the module.
func (m *module) load(ps *packages, path string) (*types.Package, error) {
	fail := func(pos token.Pos, format string, args ...any) error {
		return &sourceError{path: path, pos: pos, msg: fmt.Sprintf(format, args...)}
	}
	if ps.loading[path] {
		return nil, fail(token.NoPos, "import cycle not allowed")
	}
	ps.loading[path] = true
	defer delete(ps.loading, path)
	ctx := build.Default
	ctx.CgoEnabled = false
	stamp := m.stamp(path)
	bp, err := ctx.ImportDir(m.folder(path), 0)
	if err != nil {
		if list, ok := err.(scanner.ErrorList); !ok || len(list) == 0 {
			return nil, fail(token.NoPos, "%s", strings.ReplaceAll(err.Error(), m.dir+string(filepath.Separator), ""))
		}
	}
	if bp.Name == "main" {
		return nil, fail(token.NoPos, "it is a program, not a package that can be imported")
	}
	src := &checkedSource{info: newInfo(), own: true, stamp: stamp}
	names := append(bp.GoFiles, bp.InvalidGoFiles...)
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		f, err := m.parse(ps, path, filepath.Join(bp.Dir, name))
		if err != nil {
			return nil, err
		}
		src.files = append(src.files, f)
	}
	var first, inner error
	conf := types.Config{Sizes: sizes, GoVersion: goVersion,
		Importer: importerFunc(func(path string) (*types.Package, error) {
			p, err := ps.get(path)
			if _, ok := err.(*sourceError); ok && inner == nil {
				inner = err
			}
			return p, err
		}),
		Error: func(err error) {
			if first != nil {
				return
			}
			first = err
			if te, ok := err.(types.Error); ok {
				first = fail(te.Pos, "%s", te.Msg)
			}
		}}
	pkg, err := conf.Check(path, ps.fset, src.files, src.info)
	for _, err := range []error{inner, first, err} {
		if err != nil {
			return nil, err
		}
	}
	src.pkg = pkg
	ps.types[path], ps.sources[path] = pkg, src
	return pkg, nil
}

// parse parses one file of a package.
func (m *module) parse(ps *packages, path, file string) (*ast.File, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, &sourceError{path: path, msg: err.Error()}
	}
	base := token.Pos(ps.fset.Base())
	f, err := parser.ParseFile(ps.fset, file, text, parser.ParseComments|parser.SkipObjectResolution)
	name := file
	if rel, err := filepath.Rel(m.dir, file); err == nil {
		name = filepath.ToSlash(rel)
	}
	ps.place.files.Store(ps.fset.File(base), place{src: &source{name: name, text: text, file: true}})
	if list, ok := err.(scanner.ErrorList); ok && len(list) > 0 {
		return nil, &sourceError{path: path, pos: base + token.Pos(list[0].Pos.Offset), msg: "syntax error: " + list[0].Msg}
	}
	if err != nil {
		return nil, &sourceError{path: path, msg: err.Error()}
	}
	if pos, msg := refuse(f); msg != "" {
		return nil, &sourceError{path: path, pos: pos, msg: msg}
	}
	return f, nil
}

// stamp is a text that changes when the files of a package do.
func (m *module) stamp(path string) string {
	var b strings.Builder
	entries, _ := os.ReadDir(m.folder(path))
	for _, e := range entries {
		if info, err := e.Info(); err == nil && strings.HasSuffix(e.Name(), ".go") && !strings.HasSuffix(e.Name(), "_test.go") {
			fmt.Fprintln(&b, e.Name(), info.Size(), info.ModTime().UnixNano())
		}
	}
	return b.String()
}

// isOwn reports whether a package that was imported is the module's.
func (ps *packages) isOwn(path string) bool {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	src := ps.sources[path]
	return src != nil && src.own
}

// changed lists the packages of the module whose files are no longer those
// that were loaded.
func (ps *packages) changed() []string {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	var out []string
	for path, src := range ps.sources {
		if src.own && src.stamp != ps.own.stamp(path) {
			out = append(out, path)
		}
	}
	slices.Sort(out)
	return out
}

// refuse reports what a file needs that cannot be run, and where.
func refuse(f *ast.File) (token.Pos, string) {
	for _, imp := range f.Imports {
		switch imp.Path.Value {
		case `"C"`, `"unsafe"`:
			return imp.Path.Pos(), fmt.Sprintf("import %s: code that uses it cannot be run in a notebook", imp.Path.Value)
		}
	}
	for _, g := range f.Comments {
		for _, c := range g.List {
			for _, d := range []string{"//go:linkname", "//go:embed"} {
				if strings.HasPrefix(c.Text, d+" ") {
					return c.Pos(), d + " cannot be run in a notebook"
				}
			}
		}
	}
	return token.NoPos, ""
}
