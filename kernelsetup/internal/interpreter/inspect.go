package interpreter

import (
	"go/ast"
	"go/types"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/tools/go/ssa"
)

// check parses and checks a cell and takes everything back.
func (s *session) check(text string) (checked *Checked) {
	s.state.Lock()
	defer s.state.Unlock()
	defer s.packages.loaded()
	s.sweep()
	src, errs := s.place.Parse("", text)
	defer func() { runtime.AddCleanup(checked, s.sources.drop, src) }()
	out := &Checked{Fset: s.fset, Decls: src.Decls, Info: newInfo(), Pkg: s.pkg, place: s.place}
	if src.Body != nil {
		out.Stmts = slices.Clone(src.Body.List)
	}
	if len(errs) > 0 {
		out.Errors = append(out.Errors, syntaxError(src, errs))
	}
	p, err := s.prepare(src, "cell·check")
	if err != nil {
		out.Errors = append(out.Errors, err)
		return out
	}
	c, err := s.plan(p, nil)
	if err != nil {
		out.Errors = append(out.Errors, err)
		c = &change{s: s, p: p, broken: map[*unit]string{}, imports: map[string]string{}}
		for _, spec := range p.Imports { // those that are there
			if pkg, err := s.packages.Import(importPath(spec)); err == nil && spec.Name == nil {
				c.imports[pkg.Name()] = importPath(spec)
			}
		}
		p.Imports = nil
		c.units = p.units
	}
	c.again = nil
	s.machine.Exclude(func() { c.look(out) })
	return out
}

// look checks the cell, notes in out what it found and takes everything back.
func (c *change) look(out *Checked) {
	s, p := c.s, c.p
	c.cellFile = c.file(c.units, p.fn, p.Imports)
	if p.Imports == nil {
		for name, path := range c.imports {
			c.s.addImport(c.cellFile, name, path)
		}
	}
	c.takeOut()
	c.info = s.freshInfo()
	s.errs = nil
	s.checker.Files([]*ast.File{c.cellFile})
	c.forgetInstances(nil)
	if bad := c.relevant(s.errs); len(bad) > 0 {
		out.Errors = append(out.Errors, c.typeErrors(bad))
	}
	s.errs = nil
	out.Info = c.info
	out.Pkg = s.scopeNow()
	c.rollback()
}

// scopeNow returns a package with the names as they are at the moment.
func (s *session) scopeNow() *types.Package {
	pkg := types.NewPackage("main", "main")
	elems := scopeMap(pkg.Scope())
	for n, o := range scopeMap(s.pkg.Scope()) {
		if !strings.Contains(n, "·") {
			elems[n] = o
		}
	}
	return pkg
}

func (s *session) symbols() []Symbol {
	s.state.Lock()
	defer s.state.Unlock()
	var out []Symbol
	for _, k := range s.unitKeys() {
		if strings.Contains(k, ".") {
			continue
		}
		if sym, ok := s.symbolOf(k); ok {
			out = append(out, sym)
		}
	}
	return out
}

func (s *session) symbol(name string) (Symbol, bool) {
	s.state.Lock()
	defer s.state.Unlock()
	return s.symbolOf(name)
}

func (s *session) symbolOf(key string) (Symbol, bool) {
	u := s.units[key]
	if u == nil || u.broken != "" {
		return Symbol{}, false
	}
	sym := Symbol{Name: key, Cell: u.src.Name, Doc: u.doc, Source: u.text}
	if t, m, ok := strings.Cut(key, "."); ok {
		if tn, ok := s.pkg.Scope().Lookup(t).(*types.TypeName); ok {
			if obj, _, _ := types.LookupFieldOrMethod(tn.Type(), true, s.pkg, m); obj != nil {
				sym.Object = obj
			}
		}
		return sym, sym.Object != nil
	}
	sym.Object = s.pkg.Scope().Lookup(key)
	if v, ok := sym.Object.(*types.Var); ok {
		if g, ok := s.objects[v].(*ssa.Global); ok {
			if val, err := s.machine.Global(g); err == nil {
				sym.Value = val
			}
		}
	}
	return sym, sym.Object != nil
}

func (s *session) liveImports() map[string]*types.Package {
	s.state.Lock()
	defer s.state.Unlock()
	out := map[string]*types.Package{}
	for name, path := range s.imports {
		if pkg, err := s.packages.Import(path); err == nil {
			out[name] = pkg
		}
	}
	return out
}

func (s *session) importPackage(path string) (*types.Package, error) {
	s.state.Lock()
	defer s.state.Unlock()
	defer s.packages.loaded()
	return s.packages.Import(path)
}
