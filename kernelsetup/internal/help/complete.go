package help

import (
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
)

// Complete lists what could stand at the cursor, best first.
func (a *Assistant) Complete(source string, cursor int) execution.Completion {
	p := locate(source, cursor)
	c := &candidates{prefix: p.prefix}
	switch p.situation {
	case importPath:
		a.importPaths(c)
	case text:
		a.texts(c, source, &p)
	case member:
		a.members(c, a.understand(source, p))
	case name:
		u := a.understand(source, p)
		if !a.fields(c, u) {
			a.names(c, u)
		}
	}
	return execution.Completion{Start: p.start, End: p.end, Matches: c.ranked()}
}

// importPaths lists import paths with the prefix.
func (a *Assistant) importPaths(c *candidates) {
	for _, path := range a.packages.Paths() {
		rank := strings.Count(path, "/")
		if strings.HasPrefix(path, c.prefix) {
			c.add(execution.Match{Text: path, Type: "module"}, rank)
		} else if last := path[strings.LastIndex(path, "/")+1:]; c.prefix != "" && strings.HasPrefix(last, c.prefix) {
			c.force(execution.Match{Text: path, Type: "module"}, 10+rank)
		}
	}
}

// filePaths lists files of the notebook's folder; folders end in a slash.
func (a *Assistant) filePaths(c *candidates, p *place) {
	folder, file := "", p.prefix
	if i := strings.LastIndexByte(p.prefix, '/'); i >= 0 {
		folder, file = p.prefix[:i+1], p.prefix[i+1:]
	}
	p.start += len(folder)
	c.prefix = file
	dir := folder
	// Go knows no ~: the folder's real name takes its place.
	if rest, ok := strings.CutPrefix(folder, "~/"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			dir = filepath.Join(home, rest)
			p.start -= len(folder)
			c.before = filepath.ToSlash(dir) + "/"
		}
	}
	if dir == folder && !filepath.IsAbs(folder) {
		dir = filepath.Join(a.dir, folder)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	const most = 500
	for _, e := range entries[:min(len(entries), most)] {
		text := e.Name()
		if strings.HasPrefix(text, ".") && !strings.HasPrefix(file, ".") {
			continue
		}
		if e.IsDir() {
			text += "/"
		}
		c.add(execution.Match{Text: text, Type: "path"}, 0)
	}
}

// members lists what stands behind a dot.
func (a *Assistant) members(c *candidates, u *understood) {
	sel, ok := u.parent(1).(*ast.SelectorExpr)
	if !ok || u.Info == nil {
		return
	}
	if id, ok := sel.X.(*ast.Ident); ok {
		if pkg := a.packageNamed(u, id); pkg != nil {
			a.packageMembers(c, u, pkg)
			return
		}
	}
	t, ok := u.Info.Types[sel.X]
	if !ok || t.Type == nil {
		return
	}
	expected := a.expected(u, 1)
	a.typeMembers(c, t.Type, t.IsType(), u.Pkg, expected)
}

// packageNamed returns the package that an identifier names.
func (a *Assistant) packageNamed(u *understood, id *ast.Ident) *types.Package {
	switch obj := u.Info.Uses[id].(type) {
	case *types.PkgName:
		return obj.Imported()
	case nil:
	default:
		return nil
	}
	if _, ok := a.notebook.Symbol(id.Name); ok {
		return nil
	}
	if pkg := a.notebook.Imports()[id.Name]; pkg != nil {
		return pkg
	}
	// A package that is not imported yet completes all the same: the hint of
	// the error will say what to import.
	if path := a.pathNamed(id.Name); path != "" {
		pkg, err := a.notebook.Package(path)
		if err == nil {
			return pkg
		}
	}
	return nil
}

// pathNamed returns the shortest import path of a package name.
func (a *Assistant) pathNamed(name string) string {
	best := ""
	for _, path := range a.packages.Paths() {
		if path != name && !strings.HasSuffix(path, "/"+name) {
			continue
		}
		if best == "" || len(path) < len(best) {
			best = path
		}
	}
	return best
}

func (a *Assistant) packageMembers(c *candidates, u *understood, pkg *types.Package) {
	expected := a.expected(u, 1)
	for _, n := range pkg.Scope().Names() {
		if obj := pkg.Scope().Lookup(n); obj.Exported() && c.fits(n) {
			c.object(obj, rankOf(obj, expected), pkg)
		}
	}
}

// typeMembers lists the fields and methods of a type, those of embedded
// fields behind its own.
func (a *Assistant) typeMembers(c *candidates, t types.Type, isType bool, from *types.Package, expected types.Type) {
	visible := func(obj types.Object) bool {
		return obj.Exported() || obj.Pkg() == nil || from != nil && obj.Pkg().Path() == from.Path()
	}
	addressable := t
	if _, ok := t.Underlying().(*types.Pointer); !ok && !types.IsInterface(t) && !isType {
		addressable = types.NewPointer(t)
	}
	set := types.NewMethodSet(addressable)
	for i := range set.Len() {
		m := set.At(i)
		if visible(m.Obj()) {
			c.object(m.Obj(), len(m.Index())-1+rankOf(m.Obj(), expected), from)
		}
	}
	if isType {
		return
	}
	a.structFields(c, t, 0, visible, expected, make(map[types.Type]bool))
}

func (a *Assistant) structFields(c *candidates, t types.Type, depth int, visible func(types.Object) bool, expected types.Type, seen map[types.Type]bool) {
	if p, ok := t.Underlying().(*types.Pointer); ok {
		t = p.Elem()
	}
	s, ok := t.Underlying().(*types.Struct)
	if !ok || seen[t] {
		return
	}
	seen[t] = true
	for f := range s.Fields() {
		if visible(f) {
			c.object(f, depth+rankOf(f, expected), f.Pkg())
		}
		if f.Embedded() {
			a.structFields(c, f.Type(), depth+1, visible, expected, seen)
		}
	}
}

// fields lists the keys of a struct literal that the cursor is in; ok is
// false where it is in none.
func (a *Assistant) fields(c *candidates, u *understood) bool {
	if u.Info == nil {
		return false
	}
	var lit *ast.CompositeLit
	switch p := u.parent(1).(type) {
	case *ast.CompositeLit:
		if p.Type == u.ident() {
			return false
		}
		lit = p
	case *ast.KeyValueExpr:
		if p.Key != u.ident() {
			return false
		}
		lit, _ = u.parent(2).(*ast.CompositeLit)
	}
	if lit == nil {
		return false
	}
	t := u.Info.TypeOf(lit)
	if t == nil {
		return false
	}
	if p, ok := t.Underlying().(*types.Pointer); ok {
		t = p.Elem()
	}
	s, ok := t.Underlying().(*types.Struct)
	if !ok {
		return false
	}
	set, keyed := make(map[string]bool), false
	for _, e := range lit.Elts {
		if kv, ok := e.(*ast.KeyValueExpr); ok {
			keyed = true
			if id, ok := kv.Key.(*ast.Ident); ok {
				set[id.Name] = true
			}
		}
	}
	// Without keys so far, values may be meant: then names follow the
	// fields.
	plain := !keyed && len(lit.Elts) > 1
	if plain {
		return false
	}
	for i := range s.NumFields() {
		f := s.Field(i)
		if !set[f.Name()] && (f.Exported() || u.Pkg != nil && f.Pkg().Path() == u.Pkg.Path()) {
			m := matchOf(f, f.Pkg())
			m.Text += ": "
			c.add(m, i)
		}
	}
	return keyed || c.len() > 0 && c.prefix == ""
}

// names lists what an identifier could be.
func (a *Assistant) names(c *candidates, u *understood) {
	expected := a.expected(u, 0)
	wantType := a.wantsType(u)
	rank := func(obj types.Object) int {
		r := rankOf(obj, expected)
		if _, ok := obj.(*types.TypeName); ok == wantType && wantType {
			r -= 30
		}
		return r
	}
	if c.prefix == "" {
		c.most = mostWithoutPrefix
		c.expect(512)
	}
	take := func(obj types.Object, base int, from *types.Package) {
		if c.fits(obj.Name()) {
			c.object(obj, base+rank(obj), from)
		}
	}
	for _, obj := range locals(u) {
		take(obj, 0, u.Pkg)
	}
	for _, obj := range a.ofCell(u) {
		take(obj, 5, u.Pkg)
	}
	for _, s := range a.notebook.Symbols() {
		if s.Object != nil {
			take(s.Object, 10, s.Object.Pkg())
		}
	}
	for name, pkg := range a.notebook.Imports() {
		c.add(execution.Match{Text: name, Type: "module", Signature: pkg.Path()}, 20)
	}
	for _, obj := range inFile(u) {
		take(obj, 25, u.Pkg)
	}
	for _, n := range types.Universe.Names() {
		if n == "iota" && !inConst(u) {
			continue
		}
		take(types.Universe.Lookup(n), 40, nil)
	}
	for tok := token.BREAK; tok <= token.VAR; tok++ {
		if canStand(tok, u) {
			c.add(execution.Match{Text: tok.String(), Type: "keyword"}, 50)
		}
	}
	// Packages to import come last, and only once something is typed.
	if len(c.prefix) >= 2 {
		for _, path := range a.packages.Paths() {
			if base := path[strings.LastIndex(path, "/")+1:]; strings.HasPrefix(base, c.prefix) && !c.has(base) {
				if p := a.packages.Lookup(path); p != nil && p.Name == base {
					c.add(execution.Match{Text: base, Type: "module", Signature: "import \"" + path + "\""}, 60+strings.Count(path, "/"))
				}
			}
		}
	}
}
