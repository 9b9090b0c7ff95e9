package interpreter

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"reflect"
	"slices"
	"strings"
)

// change is one cell's effect on the notebook's names, from check to commit
// or rollback.
type change struct {
	s       *session
	p       *prepared
	units   []*unit // declared by the cell and not the same as before
	same    []*unit // declared again as they were: left alone
	again   []*unit // live ones that must be checked again
	dropped []*unit // variables whose type is gone
	broken  map[*unit]string

	cellFile  *ast.File
	againFile *ast.File
	info      *types.Info
	imports   map[string]string // names the cell imports
	dots      []string
	paths     []string
	notices   []string
	stale     []string // those of them that tell of packages changed since

	removed map[string]types.Object // taken out of the scope
	methods map[*types.Named][]*types.Func

	unused []token.Pos // names declared and not used
	rec    *Record
	known  map[types.Object]bool // to the checker, before it saw the cell
	// reached is set behind the cell's last expressions.
	reached *types.Var

	lost map[string]*types.Func // functions that no longer compile
	// followed are methods of generic types that others have replaced.
	followed []*types.Func
	later    map[string]bool // what generic functions mention; see mentionedLater

	forgotten map[string]bool // names that the cell takes back
	emptied   bool            // all of them
	dotsLost  []string        // paths no longer imported with a dot
	taken     []string        // notices about names taken from Go and given back
	after     aftermath
}

// plan finds out what a cell changes.
func (s *session) plan(p *prepared, anew *reload) (*change, *Error) {
	c := &change{s: s, p: p, broken: map[*unit]string{}, imports: map[string]string{}}
	if err := c.resolveImports(); err != nil {
		return nil, err
	}
	c.staleNotices()
	c.notices = append(c.notices, anew.notices()...)
	changed := anew.changed()
	for name, path := range c.imports {
		if s.imports[name] != path {
			changed["import "+name] = true
		}
		if s.units[name] != nil { // an import takes its name from a declaration
			changed[name] = true
		}
	}
	if p.Source.Program {
		c.alone(changed)
	}
	for _, u := range p.units {
		if c.isSame(u) {
			c.same = append(c.same, u)
			continue
		}
		c.units = append(c.units, u)
		for _, k := range u.keys {
			old := s.units[k]
			if old != nil && old.tok == token.VAR && u.tok == token.VAR {
				continue // decided by the variable's new type
			}
			if old == nil { // what no longer compiled without it may compile again
				changed[k] = true
				continue
			}
			if old.isFunc() && u.isFunc() && s.place.signatureText(old) == s.place.signatureText(u) && !u.isGeneric() {
				continue // a generic one is made part of its callers
			}
			changed[k] = true
		}
	}
	c.spread(changed)
	return c, nil
}

// isSame reports whether a declaration is a live one once more.
func (c *change) isSame(u *unit) bool {
	if len(u.keys) == 0 || u.tok == token.VAR {
		return false
	}
	for _, k := range u.keys {
		old := c.s.units[k]
		if old == nil || old.text != u.text || old.tok != u.tok || old.broken != "" || len(old.keys) != len(u.keys) {
			return false
		}
		for name, path := range old.imports {
			if p, ok := c.imports[name]; ok && p != path {
				return false
			}
			if _, ok := c.imports[name]; !ok && c.s.imports[name] != path {
				return false
			}
		}
		if t, _, ok := strings.Cut(k, "."); ok { // a method lives with its type
			for _, o := range c.p.units {
				if o.tok == token.TYPE && slices.Contains(o.keys, t) && !c.isSame(o) {
					return false
				}
			}
		}
	}
	return true
}

// spread finds the live declarations that depend on what changed.
func (c *change) spread(changed map[string]bool) {
	s := c.s
	mine := map[string]bool{}
	for _, u := range c.units {
		for _, k := range u.keys {
			mine[k] = true
		}
	}
	for again := len(changed) > 0; again; {
		again = false
		for _, k := range s.unitKeys() {
			u := s.units[k]
			if mine[k] || changed[k] || !u.affected(changed) {
				continue
			}
			again = true
			for _, k := range u.keys {
				changed[k] = true
			}
			if u.tok == token.VAR {
				c.dropped = append(c.dropped, u)
			} else {
				c.again = append(c.again, u)
			}
		}
	}
	// What is the same but rests on something changed is checked again, too.
	var same []*unit
	for _, u := range c.same {
		old := s.units[u.keys[0]]
		if slices.Contains(c.again, old) {
			c.again = slices.DeleteFunc(c.again, func(a *unit) bool { return a == old })
			c.units = append(c.units, u)
			continue
		}
		same = append(same, u)
	}
	c.same = same
}

func (s *session) unitKeys() []string {
	keys := make([]string, 0, len(s.units))
	for k := range s.units {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func (u *unit) affected(changed map[string]bool) bool {
	for d := range u.deps {
		if changed[d] {
			return true
		}
	}
	for name := range u.imports {
		if changed["import "+name] {
			return true
		}
	}
	return u.restsOn(changed)
}

// resolveImports loads what the cell imports.
func (c *change) resolveImports() *Error {
	for _, spec := range c.p.Imports {
		path := importPath(spec)
		at := func(kind Kind, format string, args ...any) *Error {
			return c.s.place.errorAt(kind, spec.Path.Pos(), fmt.Sprintf(format, args...))
		}
		if path == "C" {
			return at(Unsupported, `import "C": cgo needs a compiler and cannot be run in a notebook`)
		}
		pkg, err := c.s.packages.Import(path)
		if err != nil {
			e := at(ImportError, "%s", err)
			switch err := err.(type) {
			case *notFoundError:
				e.Hint = err.hint()
			case *missingError:
				e.Hint = err.hint()
			case *sourceError:
				if err.pos.IsValid() {
					e = c.s.place.errorAt(ImportError, err.pos, err.Error())
				}
				e.Hint = err.hint
			}
			return e
		}
		c.paths = append(c.paths, path)
		switch {
		case spec.Name == nil:
			c.imports[pkg.Name()] = path
		case spec.Name.Name == ".":
			c.dots = append(c.dots, path)
		case spec.Name.Name != "_":
			c.imports[spec.Name.Name] = path
		}
	}
	return nil
}

// file makes a file of declarations with the imports they need.
func (c *change) file(units []*unit, fn *ast.FuncDecl, own []*ast.ImportSpec) *ast.File {
	f := &ast.File{Name: ident("main", token.NoPos)}
	var nodes []ast.Node
	for _, u := range units {
		nodes = append(nodes, u.decl)
	}
	if fn != nil {
		nodes = append(nodes, fn)
	}
	imps := &ast.GenDecl{Tok: token.IMPORT}
	have := map[string]bool{}
	for _, spec := range own {
		imps.Specs = append(imps.Specs, spec)
		f.Imports = append(f.Imports, spec)
	}
	if own != nil || fn != nil {
		for name := range c.imports {
			have[name] = true
		}
	}
	add := func(name, path string) {
		spec := &ast.ImportSpec{Name: ident(name, token.NoPos), Path: &ast.BasicLit{Kind: token.STRING, Value: fmt.Sprintf("%q", path)}}
		imps.Specs = append(imps.Specs, spec)
		f.Imports = append(f.Imports, spec)
	}
	declared := map[string]bool{}
	for _, u := range c.units {
		for _, k := range u.keys {
			declared[k] = true
		}
	}
	for name := range used(nodes...) {
		if have[name] || declared[name] {
			continue
		}
		if path, ok := c.imports[name]; ok {
			add(name, path)
		} else if path, ok := c.s.imports[name]; ok && !c.forgotten[name] {
			add(name, path)
		} else if path, ok := c.s.hidden[name]; ok && c.forgotten[name] {
			add(name, path)
		}
	}
	dots := c.s.dots
	if own == nil && fn == nil {
		dots = append(slices.Clone(dots), c.dots...)
	}
	for _, path := range dots {
		if (!slices.Contains(c.dots, path) || fn == nil) && !slices.Contains(c.dotsLost, path) {
			add(".", path)
		}
	}
	if len(imps.Specs) > 0 {
		f.Decls = append(f.Decls, imps)
	}
	for _, u := range units {
		f.Decls = append(f.Decls, u.decl)
	}
	if fn != nil {
		f.Decls = append(f.Decls, fn)
	}
	return f
}

// check type-checks the cell with the declarations that depend on it. Those
// that fail are marked as broken and left out. After an error of the cell
// everything is as before.
func (c *change) check() []types.Error {
	for {
		c.cellFile = c.file(c.units, c.p.fn, c.p.Imports)
		files := []*ast.File{c.cellFile}
		c.againFile = nil
		if len(c.again) > 0 {
			c.againFile = c.file(c.again, nil, nil)
			files = append(files, c.againFile)
		}
		c.takeOut()
		c.info = c.s.freshInfo()
		c.s.errs = nil
		c.s.checker.Files(files)
		c.forgetInstances(nil)
		errs := c.relevant(c.s.errs)
		c.s.errs = nil
		var mine []types.Error
		failed := false
		for _, e := range errs {
			if u := c.againUnit(e.Pos); u != nil {
				if c.broken[u] == "" {
					c.broken[u] = e.Msg
					if h := c.hiddenBy(e); h != "" {
						c.broken[u] += " (" + strings.TrimSuffix(h, ".") + ")"
					}
				}
				failed = true
			} else {
				mine = append(mine, e)
			}
		}
		if len(mine) == 0 && !failed {
			return nil
		}
		c.rollback()
		if !failed {
			return mine
		}
		c.again = slices.DeleteFunc(c.again, func(u *unit) bool { return c.broken[u] != "" })
	}
}

// againUnit returns the dependent declaration at a position.
func (c *change) againUnit(pos token.Pos) *unit {
	for _, u := range c.again {
		if u.decl.Pos() <= pos && pos < u.decl.End() {
			return u
		}
	}
	return nil
}

// relevant drops errors that are none in a notebook.
func (c *change) relevant(errs []types.Error) []types.Error {
	var out []types.Error
	c.unused = nil
	for _, e := range errs {
		switch {
		case strings.HasPrefix(e.Msg, "declared and not used"), strings.HasSuffix(e.Msg, " declared and not used"):
			c.unused = append(c.unused, e.Pos)
		case strings.HasSuffix(e.Msg, "imported and not used"):
		case strings.HasPrefix(e.Msg, "initialization cycle"), strings.HasPrefix(e.Msg, "\t") && len(out) == 0:
			if c.cyclic() {
				out = append(out, e)
			}
		case strings.HasSuffix(e.Msg, "is not used") && c.isShown(e.Pos):
		default:
			out = append(out, e)
		}
	}
	return out
}

// cyclic reports whether a variable has no type because it needs itself.
func (c *change) cyclic() bool {
	for _, u := range c.units {
		if u.tok != token.VAR {
			continue
		}
		for _, n := range u.decl.(*ast.GenDecl).Specs[0].(*ast.ValueSpec).Names {
			if o := c.info.Defs[n]; o != nil && (o.Type() == nil || o.Type() == types.Typ[types.Invalid]) {
				return true
			}
		}
	}
	return false
}

func (c *change) isShown(pos token.Pos) bool {
	return len(c.p.Show) == 1 && c.p.Show[0].Pos() <= pos && pos < c.p.Show[0].End()
}

// takeOut removes from the scope what the cell declares anew, what is checked
// again and what is dropped.
func (c *change) takeOut() {
	c.removed, c.methods = map[string]types.Object{}, map[*types.Named][]*types.Func{}
	c.noteKnown()
	for _, list := range [][]*unit{c.units, c.again, c.dropped} {
		for _, u := range list {
			for _, k := range u.keys {
				c.remove(k)
			}
		}
	}
	for u := range c.broken {
		for _, k := range u.keys {
			c.remove(k)
		}
	}
	for k := range c.forgotten {
		c.remove(k)
	}
	elems := scopeMap(c.s.pkg.Scope())
	for name := range c.imports { // an import takes its name from a declaration
		if elems[name] != nil {
			c.remove(name)
		}
	}
	for _, n := range c.genericTypes() {
		c.keepMethods(n)
	}
	c.forgetInstances(c.s.checker)
}

// forgetInstances makes the instances of the generic types whose methods have
// changed find the methods that there are now.
func (c *change) forgetInstances(check *types.Checker) {
	for n := range c.methods {
		c.s.forgetInstances(n, check)
	}
}

func (c *change) remove(key string) {
	elems := scopeMap(c.s.pkg.Scope())
	tname, method, ok := strings.Cut(key, ".")
	if !ok {
		if o := elems[key]; o != nil {
			c.removed[key] = o
			delete(elems, key)
		}
		return
	}
	tn, _ := elems[tname].(*types.TypeName)
	if tn == nil {
		return
	}
	n, _ := types.Unalias(tn.Type()).(*types.Named)
	if n == nil {
		return
	}
	c.keepMethods(n)
	list := methodsOf(n)
	*list = slices.DeleteFunc(slices.Clone(*list), func(f *types.Func) bool { return f.Name() == method })
}

func (c *change) keepMethods(n *types.Named) {
	if _, ok := c.methods[n]; !ok {
		c.methods[n] = slices.Clone(*methodsOf(n))
	}
}

// rollback puts everything back as it was before check.
func (c *change) rollback() {
	elems := scopeMap(c.s.pkg.Scope())
	known := checkerObjects(c.s.checker)
	for id, o := range c.info.Defs {
		if o == nil {
			continue
		}
		if elems[id.Name] == o {
			delete(elems, id.Name)
		}
		forget(known, o)
	}
	c.forgetUnknown()
	for name, o := range c.removed {
		elems[name] = o
	}
	// Methods added to live types have to go, also of types not yet noted.
	for _, o := range elems {
		tn, ok := o.(*types.TypeName)
		if !ok {
			continue
		}
		n, ok := tn.Type().(*types.Named)
		if !ok || n.Obj().Pkg() != c.s.pkg {
			continue
		}
		if old, ok := c.methods[n]; ok {
			*methodsOf(n) = old
			continue
		}
		if list := methodsOf(n); slices.ContainsFunc(*list, c.defines) {
			*list = slices.DeleteFunc(slices.Clone(*list), c.defines)
			c.s.forgetInstances(n, nil)
		}
	}
	c.forgetInstances(nil)
}

func (c *change) defines(f *types.Func) bool {
	for _, o := range c.info.Defs {
		if o == types.Object(f) {
			return true
		}
	}
	return false
}

// noteKnown notes what the checker knows, and forgetUnknown takes the rest
// from its table: what is declared twice in a cell is there, and no definition.
func (c *change) noteKnown() {
	c.known = map[types.Object]bool{}
	for _, k := range checkerObjects(c.s.checker).MapKeys() {
		c.known[k.Interface().(types.Object)] = true
	}
}

func (c *change) forgetUnknown() {
	known := checkerObjects(c.s.checker)
	for _, k := range known.MapKeys() {
		if o := k.Interface().(types.Object); !c.known[o] {
			forget(known, o)
		}
	}
}

// forget removes an object from the checker's table.
func forget(known reflect.Value, o types.Object) {
	known.SetMapIndex(reflect.ValueOf(o), reflect.Value{})
}

// addImport puts one more import at the head of a file.
func (s *session) addImport(f *ast.File, name, path string) {
	spec := &ast.ImportSpec{Name: ident(name, token.NoPos), Path: &ast.BasicLit{Kind: token.STRING, Value: fmt.Sprintf("%q", path)}}
	f.Imports = append(f.Imports, spec)
	f.Decls = append([]ast.Decl{&ast.GenDecl{Tok: token.IMPORT, Specs: []ast.Spec{spec}}}, f.Decls...)
}
