package rtype

import (
	"go/types"

	"golang.org/x/tools/go/types/typeutil"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Grow makes room for methods that a declared type has got, or changed, since
// Type was first asked for it: the run-time types of n and of all that is made
// of n are forgotten, and the next Type makes them anew. Memory looks the same
// through either. Values that interfaces hold keep the type they have.
func (r *Registry) Grow(n *types.Named) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.msets = new(typeutil.MethodSetCache)
	for _, t := range r.types.Keys() {
		if madeOf(t, n.Origin(), map[types.Type]bool{}) {
			r.types.Delete(t)
		}
	}
	for key, rt := range r.instances {
		if t, ok := r.back.Load(abi.Of(rt)); ok && madeOf(t.(types.Type), n.Origin(), map[types.Type]bool{}) {
			delete(r.instances, key)
		}
	}
}

// Follow makes the methods of all that is made of a generic type, instances of
// it and types that embed them, ask for what they are now at their next call.
// Those whose signature has changed stay as they are.
func (r *Registry) Follow(n *types.Named) {
	type typed struct {
		t  types.Type
		ms map[string]*method
	}
	var list []typed
	r.mu.Lock()
	r.msets = new(typeutil.MethodSetCache)
	sets := r.msets
	r.back.Range(func(word, t any) bool {
		if ms, ok := r.bound.Load(word); ok && madeOf(t.(types.Type), n.Origin(), map[types.Type]bool{}) {
			list = append(list, typed{t.(types.Type), ms.(map[string]*method)})
		}
		return true
	})
	r.mu.Unlock() // a method that is being looked up waits for it
	for _, one := range list {
		set := sets.MethodSet(one.t)
		for i := range set.Len() {
			if m := one.ms[set.At(i).Obj().Id()]; m != nil && m.calls(set.At(i)) {
				m.rebind(set.At(i))
			}
		}
	}
}

// Succeed makes all types that have the method old, by declaration or by
// embedding, have now in its place, which has the same signature and receiver.
// What was called before goes on to be; nothing asks for old any more.
func (r *Registry) Succeed(old, now *types.Func) {
	r.mu.Lock()
	r.msets = new(typeutil.MethodSetCache)
	r.mu.Unlock() // a method that is being looked up waits for it
	r.bound.Range(func(_, ms any) bool {
		for _, m := range ms.(map[string]*method) {
			m.succeed(old, now)
		}
		return true
	})
}

func (m *method) succeed(old, now *types.Func) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.sel.Obj() != types.Object(old) {
		return
	}
	if sel := types.NewMethodSet(m.sel.Recv()).Lookup(now.Pkg(), now.Name()); sel != nil && sel.Obj() == types.Object(now) {
		m.sel = sel
		m.turn++
	}
}

// calls reports whether what calls the method may call another one.
func (m *method) calls(sel *types.Selection) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return types.Identical(m.sel.Type(), sel.Type())
}

// madeOf reports whether n is part of t.
func madeOf(t types.Type, n *types.Named, seen map[types.Type]bool) bool {
	t = types.Unalias(t)
	if t == nil || seen[t] {
		return false
	}
	seen[t] = true
	part := func(t types.Type) bool { return madeOf(t, n, seen) }
	switch t := t.(type) {
	case *types.Named:
		if t.Origin() == n {
			return true
		}
		for i := range t.TypeArgs().Len() {
			if part(t.TypeArgs().At(i)) {
				return true
			}
		}
		return part(t.Underlying())
	case *types.Pointer:
		return part(t.Elem())
	case *types.Slice:
		return part(t.Elem())
	case *types.Array:
		return part(t.Elem())
	case *types.Chan:
		return part(t.Elem())
	case *types.Map:
		return part(t.Key()) || part(t.Elem())
	case *types.Signature:
		return part(t.Params()) || part(t.Results())
	case *types.Tuple:
		for i := range t.Len() {
			if part(t.At(i).Type()) {
				return true
			}
		}
	case *types.Struct:
		for i := range t.NumFields() {
			if part(t.Field(i).Type()) {
				return true
			}
		}
	case *types.Interface:
		for i := range t.NumMethods() {
			if part(t.Method(i).Type()) {
				return true
			}
		}
	}
	return false
}
