package engine

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"maps"
	"slices"
	"strings"

	"golang.org/x/tools/go/ssa"
)

// program is a cell ready to run.
type program struct {
	fns   []*ssa.Function // in this order
	inits []*ssa.Package  // whose initialisation comes first among fns
	cell  *ssa.Function
	shown []*ssa.Global
	// reached is set when the values in shown are; nil where there are none.
	reached *ssa.Global
	result  *Result
	record  *Record
	show    []ast.Expr
}

// complete checks the cell and, when a variable's type turns out to have
// changed, what depends on that.
func (c *change) complete() []types.Error {
	for {
		if errs := c.check(); errs != nil {
			return errs
		}
		changed := map[string]bool{}
		for name, old := range c.removed {
			was, ok := old.(*types.Var)
			if !ok || c.isDropped(name) {
				continue
			}
			now, ok := c.s.pkg.Scope().Lookup(name).(*types.Var)
			if !ok || !types.Identical(was.Type(), now.Type()) {
				changed[name] = true
			}
		}
		before := len(c.units) + len(c.again) + len(c.dropped) + len(c.broken)
		if len(changed) > 0 {
			c.spreadMore(changed)
		}
		if len(c.units)+len(c.again)+len(c.dropped)+len(c.broken) == before {
			return nil
		}
		c.rollback()
	}
}

func (c *change) isDropped(name string) bool {
	return slices.ContainsFunc(c.dropped, func(u *unit) bool { return slices.Contains(u.keys, name) })
}

// spreadMore is spread for what the first check has brought up.
func (c *change) spreadMore(changed map[string]bool) {
	known := map[string]bool{}
	for _, list := range [][]*unit{c.again, c.dropped} {
		for _, u := range list {
			for _, k := range u.keys {
				known[k] = true
			}
		}
	}
	for u := range c.broken {
		for _, k := range u.keys {
			known[k] = true
		}
	}
	again, dropped := c.again, c.dropped
	c.again, c.dropped = nil, nil
	c.spread(changed)
	add := func(list, more []*unit) []*unit {
		for _, u := range more {
			if !known[u.keys[0]] {
				list = append(list, u)
			}
		}
		return list
	}
	c.again, c.dropped = add(again, c.again), add(dropped, c.dropped)
}

// assemble puts what the cell does into its function: assignments for the
// variables it declares, and for the value it shows.
func (c *change) assemble() (shown []*types.Var) {
	info := c.info
	extra := &ast.GenDecl{Tok: token.VAR}
	newVar := func(name string, t types.Type) (*types.Var, *ast.Ident) {
		v := types.NewVar(token.NoPos, c.s.pkg, name, t)
		id := ident(name, token.NoPos)
		info.Defs[id] = v
		extra.Specs = append(extra.Specs, &ast.ValueSpec{Names: []*ast.Ident{id}})
		return v, id
	}
	use := func(v types.Object, pos token.Pos) *ast.Ident {
		id := ident(v.Name(), pos)
		info.Uses[id] = v
		return id
	}
	assign := func(lhs []ast.Expr, rhs []ast.Expr, pos token.Pos) ast.Stmt {
		return &ast.AssignStmt{Lhs: lhs, TokPos: pos, Tok: token.ASSIGN, Rhs: rhs}
	}
	var list []ast.Stmt
	zero := func(v *types.Var, pos token.Pos) {
		z, _ := newVar("zero·"+v.Name(), v.Type())
		list = append(list, assign([]ast.Expr{use(v, pos)}, []ast.Expr{use(z, pos)}, pos))
	}
	initialise := func(vs *ast.ValueSpec) {
		var lhs []ast.Expr
		for _, n := range vs.Names {
			if n.Name == "_" {
				lhs = append(lhs, ident("_", n.Pos()))
				continue
			}
			v := info.Defs[n].(*types.Var)
			if len(vs.Values) == 0 {
				zero(v, n.Pos())
				continue
			}
			lhs = append(lhs, use(v, n.Pos()))
		}
		if len(vs.Values) > 0 {
			list = append(list, assign(lhs, vs.Values, vs.Pos()))
		}
	}
	body := c.p.fn.Body
	if c.p.Ordered {
		for _, st := range c.p.Steps {
			if len(st.Vars.Values) == 0 {
				initialise(st.Vars)
			}
		}
		for _, in := range c.s.info.InitOrder {
			var lhs []ast.Expr
			pos := in.Rhs.Pos()
			for _, v := range in.Lhs {
				if v.Name() == "_" {
					lhs = append(lhs, ident("_", pos))
				} else {
					lhs = append(lhs, use(v, v.Pos()))
				}
			}
			list = append(list, assign(lhs, []ast.Expr{in.Rhs}, pos))
		}
	} else {
		values := c.p.Shown(info)
		for i, st := range c.p.Steps {
			switch {
			case st.Stmt == nil:
				initialise(st.Vars)
			case i == c.p.ShowAt && len(values) > 0:
				var lhs []ast.Expr
				for j, t := range values {
					v, _ := newVar(fmt.Sprintf("shown·%d", j), t)
					shown = append(shown, v)
					lhs = append(lhs, use(v, st.Pos))
				}
				list = append(list, assign(lhs, c.p.Show, st.Pos))
				// It may be left before that, by return or a panic that is
				// recovered.
				c.reached, _ = newVar("reached·", types.Typ[types.Bool])
				yes := use(types.Universe.Lookup("true"), st.Pos)
				info.Types[yes] = types.TypeAndValue{Type: types.Typ[types.Bool], Value: constant.MakeBool(true)}
				list = append(list, assign([]ast.Expr{use(c.reached, st.Pos)}, []ast.Expr{yes}, st.Pos))
			default:
				list = append(list, body.List[i])
			}
		}
	}
	body.List = list
	if len(extra.Specs) > 0 {
		c.cellFile.Decls = append(c.cellFile.Decls, extra)
	}
	return shown
}

// overflow reports a shown constant that has no type to be shown in.
func (c *change) overflow() *Error {
	if len(c.p.Show) != 1 {
		return nil
	}
	show := c.p.Show[0]
	tv := c.info.Types[show]
	if b, ok := tv.Type.(*types.Basic); !ok || b.Kind() != types.UntypedInt || tv.Value == nil {
		return nil
	}
	if _, exact := constant.Int64Val(constant.ToInt(tv.Value)); exact {
		return nil
	}
	return c.s.place.errorAt(TypeError, show.Pos(), fmt.Sprintf("cannot use %s (untyped int constant %s) as int value (overflows)",
		c.s.place.TextOf(show), tv.Value))
}

// commit makes the checked cell part of the notebook and returns what is to
// be run.
func (c *change) commit() *program {
	s := c.s
	c.rec = c.record()
	shown := c.assemble()
	sp := c.lower()

	pr := &program{result: &Result{Notices: c.notices}, show: c.p.Show, record: c.rec}
	for _, v := range shown {
		pr.shown = append(pr.shown, s.objects[v].(*ssa.Global))
	}
	if c.reached != nil {
		pr.reached = s.objects[c.reached].(*ssa.Global)
	}
	c.link(pr.result)
	c.keep(pr.result)
	c.rec.Notices = pr.result.Notices
	pr.cell = s.function(c.info.Defs[c.p.fn.Name].(*types.Func))
	if err := s.fill(s.packages.tables); err != nil {
		panic(err)
	}
	s.packages.tables = nil
	pr.inits, s.packages.toInit = s.packages.toInit, nil
	for _, p := range pr.inits {
		pr.fns = append(pr.fns, p.Func("init"))
	}
	pr.fns = append(pr.fns, pr.cell)
	if hasInit(c.p.Decls) {
		pr.fns = append(pr.fns, sp.Func("init"))
	}
	if main, ok := s.pkg.Scope().Lookup("main").(*types.Func); ok && c.p.Program {
		if fn := s.function(main); fn != nil {
			pr.fns = append(pr.fns, fn)
		}
	}
	return pr
}

// lower makes SSA form of the cell and of the packages it imports.
func (c *change) lower() *ssa.Package {
	s := c.s
	s.packages.building.Lock()
	defer s.packages.building.Unlock()
	for _, f := range []*ast.File{c.cellFile, c.againFile} {
		if f == nil {
			continue
		}
		for _, spec := range f.Imports {
			if pkg, err := s.packages.Import(importPath(spec)); err == nil {
				s.packages.create(pkg)
			}
		}
	}
	info := *c.info
	info.InitOrder = nil
	files := []*ast.File{c.cellFile}
	if c.againFile != nil {
		files = append(files, c.againFile)
	}
	forgetMethodSets(s.prog)
	sp := s.prog.CreatePackage(s.pkg, files, &info, false)
	maps.Copy(s.objects, objectsOf(sp))
	setObjects(sp, s.objects)
	sp.Build()
	return sp
}

func hasInit(decls []ast.Decl) bool {
	for _, d := range decls {
		if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.Name == "init" {
			return true
		}
	}
	return false
}

// link joins what is new to what it replaces.
func (c *change) link(r *Result) {
	s := c.s
	scope := s.pkg.Scope()
	for name, old := range c.removed {
		switch old := old.(type) {
		case *types.Var:
			g, _ := s.objects[old].(*ssa.Global)
			now, _ := scope.Lookup(name).(*types.Var)
			if g == nil {
				continue
			}
			if now != nil && types.Identical(old.Type(), now.Type()) {
				c.rec.Kept[now] = old
				s.machine.ShareGlobal(s.objects[now].(*ssa.Global), g)
				continue
			}
			s.machine.DropGlobal(g)
		case *types.Func:
			now, _ := scope.Lookup(name).(*types.Func)
			c.replace(old, now)
		}
	}
	grown := map[*types.Named]bool{}
	for n, list := range c.methods {
		now := map[string]*types.Func{}
		for i := range n.NumMethods() {
			now[n.Method(i).Name()] = n.Method(i)
		}
		for _, old := range list {
			if f := now[old.Name()]; f == nil || f != old {
				c.replace(old, f)
				if f == nil || !types.Identical(f.Type(), old.Type()) {
					grown[n] = true
				}
			}
		}
	}
	for _, u := range c.units {
		d, ok := u.decl.(*ast.FuncDecl)
		if !ok || d.Recv == nil || len(u.keys) == 0 {
			continue
		}
		f, _ := c.info.Defs[d.Name].(*types.Func)
		if f == nil {
			continue
		}
		n := namedOf(f.Signature().Recv().Type())
		if n != nil && c.info.Defs[declIdent(n, c.units)] == nil && s.units[u.keys[0]] == nil {
			grown[n] = true
		}
	}
	for n := range grown {
		s.machine.Grow(n)
	}
	if len(c.methods) > 0 || len(grown) > 0 {
		s.machine.ForgetMethods()
	}
	for _, u := range slices.SortedFunc(maps.Keys(c.broken), func(a, b *unit) int { return strings.Compare(a.keys[0], b.keys[0]) }) {
		r.Notices = append(r.Notices, fmt.Sprintf("%s no longer compiles: %s", u.title(), c.broken[u]))
	}
	for _, u := range c.dropped {
		r.Notices = append(r.Notices, fmt.Sprintf("variable %s is gone: its type changed", strings.Join(u.keys, ", ")))
	}
}

// declIdent returns the identifier that declares a type in this cell, nil
// where it was declared before.
func declIdent(n *types.Named, units []*unit) *ast.Ident {
	for _, u := range units {
		if g, ok := u.decl.(*ast.GenDecl); ok && g.Tok == token.TYPE {
			if id := g.Specs[0].(*ast.TypeSpec).Name; id.Name == n.Obj().Name() {
				return id
			}
		}
	}
	return nil
}

func (u *unit) title() string {
	switch u.tok {
	case token.FUNC:
		if strings.Contains(u.keys[0], ".") {
			return "method " + u.keys[0]
		}
		return "function " + u.keys[0]
	case token.TYPE:
		return "type " + u.keys[0]
	case token.CONST:
		return "constant " + strings.Join(u.keys, ", ")
	}
	return "variable " + strings.Join(u.keys, ", ")
}

func (c *change) replace(old, now *types.Func) {
	was := c.s.function(old)
	if was == nil || old.Signature().TypeParams().Len() > 0 || old.Signature().RecvTypeParams().Len() > 0 {
		return
	}
	if now == nil {
		for u, why := range c.broken {
			if slices.Contains(u.keys, objectKey(old, c.s.pkg)) {
				c.rec.Replaced = append(c.rec.Replaced, Replacement{Old: old, Broken: why})
				c.s.machine.Break(was, fmt.Sprintf("%s no longer compiles: %s", u.keys[0], why))
			}
		}
		return
	}
	if types.Identical(old.Type(), now.Type()) {
		c.rec.Replaced = append(c.rec.Replaced, Replacement{Old: old, New: now})
		c.s.machine.Replace(was, c.s.function(now))
	}
}

// keep enters the cell's declarations into the notebook.
func (c *change) keep(r *Result) {
	s := c.s
	known := checkerObjects(s.checker)
	for _, o := range c.removed {
		forget(known, o)
	}
	for name, o := range c.removed {
		if s.pkg.Scope().Lookup(name) == nil || s.pkg.Scope().Lookup(name) == o {
			delete(s.units, name)
		}
	}
	for _, o := range c.info.Defs {
		if o == nil || o.Parent() != nil && o.Parent() != s.pkg.Scope() {
			continue
		}
		if _, ok := o.(*types.TypeName); !ok {
			forget(known, o)
		}
	}
	delete(scopeMap(s.pkg.Scope()), c.p.fn.Name.Name)
	for _, u := range c.dropped {
		for _, k := range u.keys {
			delete(s.units, k)
		}
	}
	for _, u := range slices.Concat(c.units, c.again) {
		u.broken = ""
		u.objs = nil
		for _, k := range u.keys {
			if o := s.pkg.Scope().Lookup(k); o != nil {
				u.objs = append(u.objs, o)
			}
		}
		u.noteUses(s.pkg, c.info)
		for _, k := range u.keys {
			s.units[k] = u
			delete(s.imports, k)
		}
	}
	for u, why := range c.broken {
		u.broken = why
		for _, k := range u.keys {
			s.units[k] = u
		}
	}
	for name, path := range c.imports {
		s.imports[name] = path
	}
	for _, path := range c.dots {
		if !slices.Contains(s.dots, path) {
			s.dots = append(s.dots, path)
		}
	}
	r.Imported = c.paths
	for _, u := range slices.Concat(c.units, c.same) {
		r.Declared = append(r.Declared, u.keys...)
	}
	slices.SortStableFunc(r.Declared, func(a, b string) int { return c.declaredAt(a) - c.declaredAt(b) })
}

func (c *change) declaredAt(key string) int {
	for _, u := range c.p.units {
		if slices.Contains(u.keys, key) {
			return c.s.place.Offset(u.decl.Pos())
		}
	}
	return 0
}
