package interpreter

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"maps"
	"slices"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/modules"
)

// reload is what a cell's imports have made the session forget of the user's
// own packages, so that they are read anew: those whose files have changed and
// those that import them.
type reload struct {
	s       *session
	notes   []string        // of other versions
	paths   map[string]bool // nil where nothing is forgotten
	types   map[string]*types.Package
	sources map[string]*checkedSource
	ssa     map[*types.Package]*ssa.Package
}

// reload forgets what has changed on disk, if one of the cell's imports rests
// on it; nil if there is nothing to do.
func (s *session) reload(imports []*ast.ImportSpec) *reload {
	ps := s.packages
	ps.mu.Lock()
	defer ps.mu.Unlock()
	ps.reopen(imports)
	notes := ps.otherVersions(imports)
	stale := ps.stale()
	if !slices.ContainsFunc(imports, func(s *ast.ImportSpec) bool { return stale[importPath(s)] }) {
		if len(notes) == 0 {
			return nil
		}
		return &reload{s: s, notes: notes}
	}
	r := &reload{s, notes, stale, maps.Clone(ps.types), maps.Clone(ps.sources), maps.Clone(ps.ssa)}
	for path := range stale {
		delete(ps.ssa, ps.types[path])
		delete(ps.types, path)
		delete(ps.sources, path)
	}
	forgetImports(s.checker)
	return r
}

// reopen reads the modules around the notebook again, where one of the imports
// may be theirs and their files have changed: somebody has run go get. A
// package that is now found elsewhere, in another version, has moved.
func (ps *packages) reopen(imports []*ast.ImportSpec) {
	theirs := func(s *ast.ImportSpec) bool {
		p := ps.lib.Lookup(importPath(s))
		return p == nil || !p.Importable()
	}
	if ps.dir == "" || !slices.ContainsFunc(imports, theirs) || ps.tree != nil && ps.treeErr == nil && !ps.tree.Stale() {
		return
	}
	ps.tree, ps.treeErr = modules.Open(ps.dir)
	if ps.tree == nil || ps.treeErr != nil {
		return
	}
	for path, src := range ps.sources {
		if mp, err := ps.find(path); src.tree && err == nil {
			src.moved = mp.Dir != src.dir
		}
	}
}

// otherVersions tells, once for each module, that imports are compiled into the
// kernel in another version than the go.mod around the notebook asks for.
func (ps *packages) otherVersions(imports []*ast.ImportSpec) (notes []string) {
	if ps.tree == nil || ps.treeErr != nil {
		return nil
	}
	for _, spec := range imports {
		path := importPath(spec)
		p := ps.lib.Lookup(path)
		if p == nil || !p.Importable() || p.Module == "" || ps.told[p.Module] {
			continue
		}
		if wanted := ps.tree.Required(path); wanted != "" && wanted != p.Module {
			ps.told[p.Module] = true
			notes = append(notes, fmt.Sprintf("package %s is compiled into the kernel as %s; go.mod asks for %s", path, p.Module, wanted))
		}
	}
	return notes
}

// stale are the packages that are not what they would be if they were loaded
// now.
func (ps *packages) stale() map[string]bool {
	out := map[string]bool{}
	for path, src := range ps.sources {
		if src.moved || src.own && src.stamp != src.stampNow() {
			out[path] = true
		}
	}
	for again := len(out) > 0; again; {
		again = false
		for path, src := range ps.sources {
			if !out[path] && slices.ContainsFunc(src.pkg.Imports(), func(p *types.Package) bool { return out[p.Path()] }) {
				out[path], again = true, true
			}
		}
	}
	return out
}

// undo brings back what was forgotten, after a cell that failed.
func (r *reload) undo() {
	if r == nil || r.paths == nil {
		return
	}
	ps := r.s.packages
	ps.mu.Lock()
	defer ps.mu.Unlock()
	ps.types, ps.sources, ps.ssa = r.types, r.sources, r.ssa
	forgetImports(r.s.checker)
}

// changed are the keys under which declarations find that they depend on a
// package that was read anew.
func (r *reload) changed() map[string]bool {
	out := map[string]bool{}
	if r != nil {
		for path := range r.paths {
			out["package "+path] = true
		}
	}
	return out
}

// notices tell of the packages read anew.
func (r *reload) notices() []string {
	if r == nil {
		return nil
	}
	out := r.notes
	for _, path := range slices.Sorted(maps.Keys(r.paths)) {
		out = append(out, fmt.Sprintf("package %s has been loaded anew: its variables begin anew, values made before keep their old methods", path))
	}
	return out
}

// staleNotices tell of packages that the cell uses without importing them and
// that are no longer what their files say; where the cell does not compile that
// may be why.
func (c *change) staleNotices() {
	s := c.s
	s.packages.mu.Lock()
	stale := s.packages.stale()
	s.packages.mu.Unlock()
	if len(stale) == 0 {
		return
	}
	nodes := []ast.Node{c.p.fn}
	for _, u := range c.p.units {
		nodes = append(nodes, u.decl)
	}
	names := used(nodes...)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		path, ok := s.imports[name]
		if _, again := c.imports[name]; ok && !again && stale[path] {
			c.stale = append(c.stale, fmt.Sprintf("package %s has changed since it was loaded: run its import again to use it as it is now", path))
		}
	}
	c.notices = append(c.notices, c.stale...)
}

// restsOn reports whether a declaration depends on one of the packages that
// were read anew: code that mentions it, a variable whose type is from it.
func (u *unit) restsOn(changed map[string]bool) bool {
	if u.tok != token.VAR {
		for _, path := range u.imports {
			if changed["package "+path] {
				return true
			}
		}
		return false
	}
	found := false
	for _, o := range u.objs {
		types.TypeString(o.Type(), func(p *types.Package) string {
			found = found || changed["package "+p.Path()]
			return p.Path()
		})
	}
	return found
}
