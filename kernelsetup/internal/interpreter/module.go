package interpreter

import (
	"bytes"
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

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/modules"
)

// sourceError is why a package of the module cannot be used, with the place
// in its file where there is one.
type sourceError struct {
	path string // the package's
	pos  token.Pos
	msg  string
	hint string
}

func (e *sourceError) Error() string { return "package " + e.path + ": " + e.msg }

// sourceTags are the tags of a build without assembly, which cells can't run.
var sourceTags = []string{"purego", "noasm"}

// find looks for a package in the modules around the notebook.
func (ps *packages) find(path string) (*modules.Package, error) {
	if ps.treeErr != nil {
		return nil, ps.treeErr
	}
	return ps.tree.Find(path)
}

// load parses and checks a package of a module.
func (ps *packages) load(mp *modules.Package) (*types.Package, error) {
	path := mp.Path
	fail := func(pos token.Pos, format string, args ...any) error {
		return &sourceError{path: path, pos: pos, msg: fmt.Sprintf(format, args...)}
	}
	if ps.loading[path] {
		return nil, fail(token.NoPos, "import cycle not allowed")
	}
	ps.loading[path] = true
	defer delete(ps.loading, path)
	src := &checkedSource{tree: true, own: mp.Module.Own, dir: mp.Dir}
	src.stamp = src.stampNow()
	ctx := build.Default
	ctx.CgoEnabled = false
	ctx.BuildTags = append(ps.tree.Tags(), sourceTags...)
	bp, err := ctx.ImportDir(mp.Dir, 0)
	if err != nil {
		if list, ok := err.(scanner.ErrorList); !ok || len(list) == 0 {
			return nil, fail(token.NoPos, "%s", strings.ReplaceAll(err.Error(), ps.tree.Mains()[0].Dir+string(filepath.Separator), ""))
		}
	}
	if bp.Name == "main" {
		return nil, fail(token.NoPos, "it is a program, not a package that can be imported")
	}
	text := 0
	names := append(bp.GoFiles, bp.InvalidGoFiles...)
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		f, err := ps.parse(mp, filepath.Join(bp.Dir, name))
		if err != nil {
			return nil, err
		}
		src.files = append(src.files, f)
		text += ps.fset.File(f.FileStart).Size()
	}
	ps.thrift.begin(text, living())
	if !src.own {
		src.plain = liftPlain(src.files)
	}
	src.info = infoFor(src.files)
	var first, inner error
	hint := ""
	conf := types.Config{Sizes: sizes, GoVersion: "go" + mp.Module.Go,
		Importer: importerFunc(func(to string) (*types.Package, error) {
			p, err := ps.getFrom(to, path)
			switch e := err.(type) {
			case *sourceError:
				if inner == nil {
					inner = err
				}
			case *missingError:
				hint = e.hint()
			}
			return p, err
		}),
		Error: func(err error) {
			if first != nil {
				return
			}
			first = err
			if te, ok := err.(types.Error); ok {
				first = &sourceError{path: path, pos: te.Pos, msg: te.Msg, hint: hint}
			}
		}}
	pkg, err := conf.Check(path, ps.fset, src.files, src.info)
	for _, err := range []error{inner, first, err} {
		if err != nil {
			return nil, err
		}
	}
	if pos, err := src.embed(); err != nil {
		return nil, fail(pos, "%s", err)
	}
	src.pkg = pkg
	ps.types[path], ps.sources[path] = pkg, src
	ps.thrift.pause()
	return pkg, nil
}

// infoFor returns maps with room for what the checker notes of a package:
// growing there, they would leave as much garbage as they hold.
func infoFor(files []*ast.File) *types.Info {
	idents, others := 0, 0
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			switch n.(type) {
			case *ast.Ident:
				idents++
			case ast.Expr:
				others++
			}
			return true
		})
	}
	info := newInfo()
	// Some six in ten names stand for values, some three in four are uses.
	info.Types = make(map[ast.Expr]types.TypeAndValue, others+idents*6/10)
	info.Uses = make(map[*ast.Ident]types.Object, idents*3/4)
	info.Defs = make(map[*ast.Ident]types.Object, idents/4)
	info.Scopes = nil // for help in cells alone
	return info
}

// parse parses one file of a package.
func (ps *packages) parse(mp *modules.Package, file string) (*ast.File, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, &sourceError{path: mp.Path, msg: err.Error()}
	}
	base := token.Pos(ps.fset.Base())
	mode := parser.SkipObjectResolution
	if bytes.Contains(text, []byte("//go:")) { // else they only take room
		mode |= parser.ParseComments
	}
	f, err := parser.ParseFile(ps.fset, file, text, mode)
	ps.place.Add(ps.fset.File(base), &meaning.Source{Name: ps.nameOf(mp, file), Text: text, File: true})
	if list, ok := err.(scanner.ErrorList); ok && len(list) > 0 {
		return nil, &sourceError{path: mp.Path, pos: base + token.Pos(list[0].Pos.Offset), msg: "syntax error: " + list[0].Msg}
	}
	if err != nil {
		return nil, &sourceError{path: mp.Path, msg: err.Error()}
	}
	if pos, msg := refuse(f); msg != "" {
		hint := ""
		if mp.Module.Version != "" {
			hint = "a kernel that has it compiled in, beside this one: bonnetbook build-kernel " + mp.Module.Name()
		}
		return nil, &sourceError{path: mp.Path, pos: pos, msg: msg, hint: hint}
	}
	return f, nil
}

// nameOf is how errors call a file: from the user's module down, or with the
// module it belongs to.
func (ps *packages) nameOf(mp *modules.Package, file string) string {
	if rel, err := filepath.Rel(ps.tree.Mains()[0].Dir, file); err == nil && filepath.IsLocal(rel) {
		return filepath.ToSlash(rel)
	}
	if rel, err := filepath.Rel(mp.Module.Dir, file); err == nil {
		return mp.Module.Name() + "/" + filepath.ToSlash(rel)
	}
	return file
}

// stampNow is a text that changes when the files of a package of the user's
// do.
func (src *checkedSource) stampNow() string {
	if !src.own {
		return ""
	}
	var b strings.Builder
	entries, _ := os.ReadDir(src.dir)
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".go") && !strings.HasSuffix(e.Name(), "_test.go") {
			stampFile(&b, e.Name(), e.Info)
		}
	}
	if len(src.patterns) > 0 {
		names, _ := modules.Embedded(src.dir, src.patterns)
		for _, name := range names {
			stampFile(&b, name, func() (os.FileInfo, error) { return os.Stat(filepath.Join(src.dir, filepath.FromSlash(name))) })
		}
	}
	return b.String()
}

func stampFile(b *strings.Builder, name string, stat func() (os.FileInfo, error)) {
	if info, err := stat(); err == nil {
		fmt.Fprintln(b, name, info.Size(), info.ModTime().UnixNano())
	}
}

// refuse reports what a file needs that cannot be run, and where.
func refuse(f *ast.File) (token.Pos, string) {
	for _, imp := range f.Imports {
		if imp.Path.Value == `"C"` {
			return imp.Path.Pos(), `import "C": code that uses it cannot be run in a notebook`
		}
	}
	// A function that is linked to another has no body and fails when it is
	// called; a variable would be silently empty.
	variables := map[string]bool{}
	for _, d := range f.Decls {
		if g, ok := d.(*ast.GenDecl); ok && g.Tok == token.VAR {
			for _, s := range g.Specs {
				for _, n := range s.(*ast.ValueSpec).Names {
					variables[n.Name] = true
				}
			}
		}
	}
	for _, g := range f.Comments {
		for _, c := range g.List {
			if words := strings.Fields(c.Text); len(words) > 1 && words[0] == "//go:linkname" && variables[words[1]] {
				return c.Pos(), "//go:linkname of a variable cannot be run in a notebook"
			}
		}
	}
	return token.NoPos, ""
}
