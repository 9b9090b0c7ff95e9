package interpreter

import (
	"go/ast"
	"go/token"
	"go/types"
	"reflect"
	"slices"
	"sync"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// Instances of generic types and functions are made once and kept, by go/types
// and by ssa. When a cell declares a generic function or a method of a generic
// type anew, those that are there follow.

// methodsExpanded returns the bit in the state of a types.Named that says that
// all methods of an instance have been made; 0 if there is none.
var methodsExpanded = sync.OnceValue(func() uint32 {
	pkg := types.NewPackage("p", "p")
	n := types.NewNamed(types.NewTypeName(token.NoPos, pkg, "T", nil), types.NewStruct(nil, nil), nil)
	param := func() *types.TypeParam {
		return types.NewTypeParam(types.NewTypeName(token.NoPos, pkg, "P", nil), types.Universe.Lookup("any").Type())
	}
	p := param()
	n.SetTypeParams([]*types.TypeParam{p})
	q := param()
	of, err := types.Instantiate(nil, n, []types.Type{q}, false)
	if err != nil {
		return 0
	}
	recv := types.NewParam(token.NoPos, pkg, "", of)
	n.AddMethod(types.NewFunc(token.NoPos, pkg, "M", types.NewSignatureType(recv, []*types.TypeParam{q}, nil, nil, nil, false)))
	inst, err := types.Instantiate(types.NewContext(), n, []types.Type{types.Typ[types.Int]}, false)
	if err != nil {
		return 0
	}
	i := inst.(*types.Named)
	i.Underlying()
	before := *stateOf(i)
	i.Method(0)
	return *stateOf(i) &^ before
})

func stateOf(n *types.Named) *uint32 { return (*uint32)(namedState.of(unsafe.Pointer(n))) }

// instanceOf returns what go/types keeps of an instance, nil for others.
func instanceOf(n *types.Named) unsafe.Pointer {
	return *(*unsafe.Pointer)(namedInstance.of(unsafe.Pointer(n)))
}

// instancesOf returns the instances of a generic type that there are.
func (s *session) instancesOf(origin *types.Named) []*types.Named {
	s.packages.building.Lock() // goroutines may have ssa make instances
	defer s.packages.building.Unlock()
	var out []*types.Named
	seen := map[*types.Context]bool{}
	know := map[*types.Named]bool{}
	var look func(ctxt *types.Context)
	note := func(t types.Type) {
		n, ok := t.(*types.Named)
		if !ok || know[n] {
			return
		}
		inst := instanceOf(n)
		if inst == nil {
			return
		}
		know[n] = true
		if n.Origin() == origin {
			out = append(out, n)
		}
		look(*(**types.Context)(instanceContext.of(inst)))
	}
	look = func(ctxt *types.Context) {
		if ctxt == nil || seen[ctxt] {
			return
		}
		seen[ctxt] = true
		for it := reflect.NewAt(contextTypes.typ, contextTypes.of(unsafe.Pointer(ctxt))).Elem().MapRange(); it.Next(); {
			entries := it.Value()
			for i := range entries.Len() {
				t := entries.Index(i).FieldByName("instance")
				note(*(*types.Type)(t.Addr().UnsafePointer()))
			}
		}
	}
	look(s.contexts)
	look(*(**types.Context)(programContext.of(unsafe.Pointer(s.prog))))
	return out
}

// forgetGeneric forgets what was made of a generic function or method that was
// declared anew, and of its type parameters: it is kept for being found again,
// and no code mentions it any more.
func (s *session) forgetGeneric(old *types.Func) {
	own := map[types.Type]bool{}
	for _, list := range []*types.TypeParamList{old.Signature().TypeParams(), old.Signature().RecvTypeParams()} {
		for p := range list.TypeParams() {
			own[p] = true
			delete(*(*map[*types.TypeParam]*types.TypeParam)(checkerCanon.of(unsafe.Pointer(s.checker))), p)
		}
	}
	mine := func(args []types.Type) (found bool) {
		for _, t := range args {
			eachPart(t, map[types.Type]bool{}, func(t types.Type) { found = found || own[t] })
		}
		return found
	}
	s.packages.building.Lock()
	defer s.packages.building.Unlock()
	for _, ctxt := range []*types.Context{s.contexts, *(**types.Context)(programContext.of(unsafe.Pointer(s.prog)))} {
		known := reflect.NewAt(contextTypes.typ, contextTypes.of(unsafe.Pointer(ctxt))).Elem()
		for it := known.MapRange(); it.Next(); {
			entry := it.Value().Index(0) // others of the same name are of the same origin
			of := *(*types.Type)(entry.FieldByName("orig").Addr().UnsafePointer())
			args := *(*[]types.Type)(entry.FieldByName("targs").Addr().UnsafePointer())
			if of == old.Type() || mine(args) {
				known.SetMapIndex(it.Key(), reflect.Value{})
			}
		}
		delete(*(*map[types.Type]int)(contextIDs.of(unsafe.Pointer(ctxt))), old.Type())
	}
}

// forgetInstances makes the instances of a generic type ask it for its methods
// again. While check is not nil their methods may be ones that it has yet to
// check.
func (s *session) forgetInstances(origin *types.Named, check *types.Checker) {
	if origin.TypeParams().Len() == 0 {
		return
	}
	for _, n := range s.instancesOf(origin) {
		if n == origin {
			continue
		}
		n.NumMethods() // makes what it has besides methods
		inst := instanceOf(n)
		*(*[]*types.Func)(namedMethods.of(unsafe.Pointer(n))) = nil
		*(*int)(instanceMethods.of(inst)) = 0
		*(**types.Context)(instanceContext.of(inst)) = s.contexts
		*stateOf(n) &^= methodsExpanded()
		*(**types.Checker)(namedChecker.of(unsafe.Pointer(n))) = check
	}
}

// genericTypes returns the generic types that the notebook has and whose
// methods the cell declares, or which depend on it.
func (c *change) genericTypes() []*types.Named {
	var out []*types.Named
	seen := map[*types.Named]bool{}
	for _, list := range [][]*unit{c.units, c.again} {
		for _, u := range list {
			d, ok := u.decl.(*ast.FuncDecl)
			if !ok || d.Recv == nil || len(d.Recv.List) == 0 {
				continue
			}
			tn, ok := c.s.pkg.Scope().Lookup(receiverName(d.Recv.List[0].Type)).(*types.TypeName)
			if !ok {
				continue
			}
			if n, ok := types.Unalias(tn.Type()).(*types.Named); ok && n.TypeParams().Len() > 0 && !seen[n] {
				seen[n] = true
				out = append(out, n)
			}
		}
	}
	return out
}

// isGeneric reports whether a unit is a generic function or a method of a
// generic type.
func (u *unit) isGeneric() bool {
	d, ok := u.decl.(*ast.FuncDecl)
	if !ok {
		return false
	}
	if d.Type.TypeParams != nil {
		return true
	}
	if d.Recv == nil || len(d.Recv.List) == 0 {
		return false
	}
	t := ast.Unparen(d.Recv.List[0].Type)
	if star, ok := t.(*ast.StarExpr); ok {
		t = ast.Unparen(star.X)
	}
	switch t.(type) {
	case *ast.IndexExpr, *ast.IndexListExpr:
		return true
	}
	return false
}

// builtInstances returns the instances that ssa has made of a generic function.
func builtInstances(fn *ssa.Function) []*ssa.Function {
	g := *(*unsafe.Pointer)(functionGeneric.of(unsafe.Pointer(fn)))
	if g == nil {
		return nil
	}
	var out []*ssa.Function
	for it := reflect.NewAt(genericOnes.typ, genericOnes.of(g)).Elem().MapRange(); it.Next(); {
		out = append(out, (*ssa.Function)(it.Value().UnsafePointer()))
	}
	return out
}

// isGeneric reports whether a function is generic or a method of a generic
// type.
func isGeneric(f *types.Func) bool {
	return f.Signature().TypeParams().Len() > 0 || f.Signature().RecvTypeParams().Len() > 0
}

// instantiate has the cell's function mention the instances that there are of
// generic functions declared anew, so that ssa makes them of these, too.
func (c *change) instantiate() {
	s := c.s
	before := map[string][]*types.Func{}
	for name, old := range c.removed {
		if f, ok := old.(*types.Func); ok {
			before[name] = append(before[name], f)
		}
	}
	for _, u := range slices.Concat(c.units, c.again) {
		if u.isGeneric() && s.units[u.keys[0]] != nil {
			before[u.keys[0]] = append(before[u.keys[0]], s.units[u.keys[0]].lost...)
		}
	}
	for name, list := range before {
		now, ok := s.pkg.Scope().Lookup(name).(*types.Func)
		if !ok || !isGeneric(now) {
			continue
		}
		for _, f := range list {
			if isGeneric(f) && s.function(f) != nil {
				c.mention(now, builtInstances(s.function(f)))
			}
		}
	}
}

// mention has the cell's function mention a generic function for the types of
// instances of another one.
func (c *change) mention(f *types.Func, like []*ssa.Function) {
	for _, inst := range like {
		if hasParams(inst.TypeArgs()) {
			continue
		}
		t, err := types.Instantiate(c.s.contexts, f.Type(), inst.TypeArgs(), true)
		if err != nil {
			continue
		}
		id := ident(f.Name(), token.NoPos)
		c.info.Uses[id] = f
		c.info.Instances[id] = types.Instance{TypeArgs: typeList(f, inst.TypeArgs()), Type: t}
		c.p.fn.Body.List = append(c.p.fn.Body.List, &ast.AssignStmt{Lhs: []ast.Expr{ident("_", token.NoPos)}, Tok: token.ASSIGN, Rhs: []ast.Expr{id}})
	}
}

// typeList makes a list of types, for which go/types has no function: it is
// that of the arguments of an instance.
func typeList(f *types.Func, of []types.Type) *types.TypeList {
	n := types.NewNamed(types.NewTypeName(token.NoPos, f.Pkg(), "list·", nil), types.NewStruct(nil, nil), nil)
	var params []*types.TypeParam
	for range of {
		params = append(params, types.NewTypeParam(types.NewTypeName(token.NoPos, f.Pkg(), "P", nil), types.Universe.Lookup("any").Type()))
	}
	n.SetTypeParams(params)
	t, err := types.Instantiate(nil, n, of, false)
	if err != nil {
		panic(err)
	}
	return t.(*types.Named).TypeArgs()
}

// hasParams reports whether type parameters are among the types or in them.
func hasParams(list []types.Type) bool {
	found := false
	for _, t := range list {
		eachPart(t, map[types.Type]bool{}, func(t types.Type) {
			_, is := t.(*types.TypeParam)
			found = found || is
		})
	}
	return found
}

// replaceInstances is replace for the instances of a generic function, or of a
// method of a generic type.
func (c *change) replaceInstances(was *ssa.Function, old, now *types.Func, why string) {
	s := c.s
	if why != "" {
		c.lose(objectKey(old, s.pkg), old)
	}
	follows := now != nil && pointerReceiver(old) == pointerReceiver(now)
	for _, inst := range builtInstances(was) {
		if hasParams(inst.TypeArgs()) {
			continue
		}
		var by *ssa.Function
		if now != nil {
			by = s.instance(now, inst)
		}
		same := by != nil && types.Identical(inst.Signature, by.Signature) && pointerReceiver(old) == pointerReceiver(now)
		c.leave(old, inst, same)
		switch {
		case why != "":
			s.machine.Break(inst, why)
		case same:
			s.machine.Replace(inst, by)
		default:
			follows = false
		}
	}
	switch {
	case follows:
		s.ids.follow(old, now, true)
		if old.Signature().Recv() == nil {
			c.unlink(old, was, objectKey(old, s.pkg))
			s.forgetGeneric(old)
		} else {
			c.followed = append(c.followed, old)
		}
	case why == "":
		c.retire(old)
	}
}

// instance returns the instance of a generic function or method for the same
// types as those of another one's.
func (s *session) instance(of *types.Func, like *ssa.Function) *ssa.Function {
	if recv := like.Signature.Recv(); recv != nil {
		sel := types.NewMethodSet(recv.Type()).Lookup(of.Pkg(), of.Name())
		if sel == nil {
			return nil
		}
		fn := s.packages.method(sel)
		if fn == nil || fn.Origin() != s.function(of) {
			return nil
		}
		return fn
	}
	origin := s.function(of)
	if origin == nil {
		return nil
	}
	args := like.TypeArgs()
	for _, inst := range builtInstances(origin) {
		same := len(args) == len(inst.TypeArgs())
		for i := 0; same && i < len(args); i++ {
			same = types.Identical(args[i], inst.TypeArgs()[i])
		}
		if same {
			return inst
		}
	}
	return nil
}
