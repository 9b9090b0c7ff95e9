package interpreter

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

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
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
	after   *aftermath
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

// spareStubs are kept for what a cell makes while it runs, such as instances
// of generic types.
const spareStubs = 512

// room refuses a cell that declares methods when those of earlier cells have
// used up nearly all that a process can make. Later it could not be taken back.
func (c *change) room() *Error {
	if rtype.StubsFree() > spareStubs {
		return nil
	}
	for _, o := range c.info.Defs {
		if f, ok := o.(*types.Func); ok && f.Signature().Recv() != nil {
			return &Error{Kind: Unsupported, Cell: c.p.Source.Name,
				Message: fmt.Sprintf("method %s cannot be declared: this notebook has declared more than %d methods since the kernel was started", f.Name(), rtype.Stubs-spareStubs),
				Hint:    "Restart the kernel; all else goes on, and what is declared stays as it is."}
		}
	}
	return nil
}

// commit makes the checked cell part of the notebook and returns what is to
// be run.
func (c *change) commit() *program {
	s := c.s
	c.rec = c.record()
	shown := c.assemble()
	c.instantiate()
	sp := c.lower()

	notices := append(c.notices, decimalCommas(c.p.Source.Text)...)
	pr := &program{result: &Result{Notices: notices}, show: c.p.Show, record: c.rec, after: &c.after}
	for _, v := range shown {
		pr.shown = append(pr.shown, s.objects[v].(*ssa.Global))
	}
	if c.reached != nil {
		pr.reached = s.objects[c.reached].(*ssa.Global)
	}
	c.link(pr.result)
	for _, f := range []*ast.File{c.cellFile, c.againFile} {
		if f != nil {
			s.noteLiterals(f, c.info)
		}
	}
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
	for _, f := range files {
		defer constantRanges(f, c.info)()
	}
	forgetMethodSets(s.prog)
	sp := s.prog.CreatePackage(s.pkg, files, &info, false)
	of := []*meaning.Source{c.p.Source}
	for _, u := range c.again {
		of = append(of, s.sourceOf(u.decl))
	}
	s.sources.hold(sp, of)
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
	c.after.init()
	for name, path := range c.imports {
		if before, ok := s.imports[name]; ok && before != path {
			c.after.imports[name] = true
		}
	}
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
				if !c.mentionedLater(name) {
					s.drop(old) // which would keep its cell
				}
				s.ids.follow(old, now, true)
				continue
			}
			s.machine.DropGlobal(g, s.literals.mention(s.ids.of(old)))
			if !c.mentionedLater(name) {
				s.drop(old)
			}
			c.retire(old)
		case *types.Func:
			now, _ := scope.Lookup(name).(*types.Func)
			c.replace(old, now)
		default:
			if now := scope.Lookup(name); goesOn(old, now) {
				s.ids.follow(old, now, true)
			} else {
				c.retire(old)
			}
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
				if f == nil || !sameCalls(old, f) {
					grown[n] = true
				}
			}
		}
	}
	c.repair()
	for _, u := range slices.Concat(c.units, c.again) {
		d, ok := u.decl.(*ast.FuncDecl)
		if !ok || d.Recv == nil || len(u.keys) == 0 {
			continue
		}
		f, _ := c.info.Defs[d.Name].(*types.Func)
		if f == nil {
			continue
		}
		was := s.units[u.keys[0]] // none, or it did not compile: the type had no such method
		n := namedOf(f.Signature().Recv().Type())
		if n != nil && c.info.Defs[declIdent(n, slices.Concat(c.units, c.again))] == nil && (was == nil || was.broken != "") {
			grown[n] = true
		}
	}
	for n := range grown {
		s.machine.Grow(n)
		c.after.grown = true
	}
	for n := range c.methods {
		if n.TypeParams().Len() > 0 {
			s.machine.Follow(n)
		}
	}
	for _, old := range c.followed { // no value asks for it any more
		c.unlink(old, s.function(old), objectKey(old, s.pkg))
		s.forgetGeneric(old)
	}
	if len(grown) > 0 {
		s.renew()
	}
	if len(c.methods) > 0 || len(grown) > 0 {
		s.machine.ForgetMethods()
	}
	for _, u := range slices.SortedFunc(maps.Keys(c.broken), func(a, b *unit) int { return strings.Compare(a.keys[0], b.keys[0]) }) {
		r.Notices = append(r.Notices, fmt.Sprintf("%s no longer compiles: %s", u.title(), c.broken[u]))
	}
	for _, u := range c.dropped {
		why := "its type changed"
		if c.forgotten != nil && !c.p.Source.Program {
			why = "its type is forgotten"
		}
		r.Notices = append(r.Notices, fmt.Sprintf("variable %s is gone: %s", strings.Join(u.keys, ", "), why))
	}
}

// repair lets calls of functions that did not compile any more run what they
// are now.
func (c *change) repair() {
	for _, u := range slices.Concat(c.units, c.again) {
		d, ok := u.decl.(*ast.FuncDecl)
		if !ok || len(u.keys) == 0 || c.s.units[u.keys[0]] == nil {
			continue
		}
		now, ok := c.info.Defs[d.Name].(*types.Func)
		if !ok {
			continue
		}
		for _, lost := range c.s.units[u.keys[0]].lost {
			c.replace(lost, now)
		}
	}
}

// mentionedLater reports whether code that is still to be made, of generic
// functions for other types, may mention a variable, a function or a method.
// Which units there are does not change while a cell is linked.
func (c *change) mentionedLater(name string) bool {
	if c.later == nil {
		c.later = map[string]bool{}
		for _, u := range c.s.units {
			if u.isGeneric() {
				maps.Copy(c.later, u.deps)
			}
		}
	}
	return c.later[name]
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

// replace makes calls of a function run its successor, or fail where it has
// none for it no longer compiles.
func (c *change) replace(old, now *types.Func) {
	s := c.s
	was := s.function(old)
	if was == nil {
		return
	}
	key, why := objectKey(old, s.pkg), ""
	if now == nil {
		for u, text := range c.broken {
			if slices.Contains(u.keys, key) {
				c.rec.Replaced = append(c.rec.Replaced, Replacement{Old: old, Broken: text})
				why = fmt.Sprintf("%s no longer compiles: %s", u.keys[0], text)
			}
		}
	}
	if c.rewrites(key) {
		c.after.rewritten[old] = true
		c.after.made[s.ids.of(old)] = true
	}
	if isGeneric(old) {
		c.replaceInstances(was, old, now, why)
		return
	}
	follows := now != nil && sameCalls(old, now)
	c.leave(old, was, follows)
	switch {
	case why != "": // calls fail with these words
		c.lose(key, old)
		s.machine.Break(was, why)
		return
	case follows:
		c.rec.Replaced = append(c.rec.Replaced, Replacement{Old: old, New: now})
		s.machine.Replace(was, s.function(now))
		s.ids.follow(old, now, true)
		s.machine.Empty(was)
		if old.Signature().Recv() != nil {
			s.machine.Succeed(old, now)
		}
		c.unlink(old, was, key)
	default:
		c.retire(old)
		if old.Signature().Recv() == nil {
			c.unlink(old, was, key)
		}
	}
}

// unlink lets go of a function that nothing calls any more by what the checker
// has called it.
func (c *change) unlink(old *types.Func, was *ssa.Function, key string) {
	if c.mentionedLater(key) {
		return
	}
	c.s.drop(old)
	vm.LeavePackage(was)
}

// leave notes the code of a function declared anew, or of an instance of it, in
// which goroutines may still be. follows tells whether calls run its successor.
func (c *change) leave(old *types.Func, was *ssa.Function, follows bool) {
	s := c.s
	code := oldCode{title: label(old), id: s.ids.of(old), code: s.machine.Retire(was)}
	if u := s.units[objectKey(old, s.pkg)]; u != nil && follows && !c.after.rewritten[old] {
		code.mentions, code.imports = u.deps, u.imports
	}
	c.after.running = append(c.after.running, code)
}

// lose notes what a function was that no longer compiles.
func (c *change) lose(key string, old *types.Func) {
	if c.lost == nil {
		c.lost = map[string]*types.Func{}
	}
	c.lost[key] = old
}

// sameCalls reports whether what calls a function can call another one.
func sameCalls(old, now *types.Func) bool {
	return types.Identical(old.Type(), now.Type()) && pointerReceiver(old) == pointerReceiver(now)
}

func pointerReceiver(f *types.Func) bool {
	recv := f.Signature().Recv()
	if recv == nil {
		return false
	}
	_, ok := types.Unalias(recv.Type()).(*types.Pointer)
	return ok
}

// rewrites reports whether the cell has another text for a function.
func (c *change) rewrites(key string) bool {
	for _, u := range c.units {
		if slices.Contains(u.keys, key) {
			old := c.s.units[key]
			return old == nil || old.text != u.text
		}
	}
	return false
}

// keep enters the cell's declarations into the notebook.
func (c *change) keep(r *Result) {
	s := c.s
	c.hides()
	c.leftMethods()
	for _, u := range c.same { // this cell has them now
		old := s.units[u.keys[0]]
		old.src, old.along = u.src, u.src
	}
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
	forgetFiles(s.pkg)
	for _, u := range c.dropped {
		for _, k := range u.keys {
			delete(s.units, k)
		}
	}
	for _, u := range slices.Concat(c.units, c.again) {
		u.broken, u.lost = "", nil
		if slices.Contains(c.units, u) {
			u.along = u.src
		}
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
			if f := c.lost[k]; f != nil {
				u.lost = append(u.lost, f)
			}
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
	c.bringBack()
	r.Notices = append(r.Notices, c.taken...)
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
