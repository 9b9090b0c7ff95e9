package rtype

import "go/types"

// sameness holds pairs of declared types, new to old, that are taken as one.
type sameness map[*types.TypeName]*types.TypeName

// declarations reports whether two type declarations say the same.
func (s sameness) declarations(a, b *types.Named) bool {
	if a.NumMethods() != b.NumMethods() || a.TypeParams().Len() != b.TypeParams().Len() {
		return false
	}
	for i := range a.TypeParams().Len() {
		if !s.types(a.TypeParams().At(i).Constraint(), b.TypeParams().At(i).Constraint()) {
			return false
		}
	}
	for m := range a.Methods() {
		found := false
		for n := range b.Methods() {
			if m.Id() != n.Id() {
				continue
			}
			_, ap := types.Unalias(m.Signature().Recv().Type()).(*types.Pointer)
			_, bp := types.Unalias(n.Signature().Recv().Type()).(*types.Pointer)
			found = ap == bp && s.types(m.Signature(), n.Signature())
		}
		if !found {
			return false
		}
	}
	return s.types(a.Underlying(), b.Underlying())
}

// types reports whether two types are identical but for the pairs.
func (s sameness) types(a, b types.Type) bool {
	a, b = types.Unalias(a), types.Unalias(b)
	switch a := a.(type) {
	case *types.Named:
		b, ok := b.(*types.Named)
		if !ok || a.TypeArgs().Len() != b.TypeArgs().Len() {
			return false
		}
		x, y := a.Origin().Obj(), b.Origin().Obj()
		if x != y && s[x] != y {
			return false
		}
		for i := range a.TypeArgs().Len() {
			if !s.types(a.TypeArgs().At(i), b.TypeArgs().At(i)) {
				return false
			}
		}
		return true
	case *types.TypeParam:
		b, ok := b.(*types.TypeParam)
		return ok && a.Index() == b.Index()
	case *types.Pointer:
		b, ok := b.(*types.Pointer)
		return ok && s.types(a.Elem(), b.Elem())
	case *types.Slice:
		b, ok := b.(*types.Slice)
		return ok && s.types(a.Elem(), b.Elem())
	case *types.Array:
		b, ok := b.(*types.Array)
		return ok && a.Len() == b.Len() && s.types(a.Elem(), b.Elem())
	case *types.Chan:
		b, ok := b.(*types.Chan)
		return ok && a.Dir() == b.Dir() && s.types(a.Elem(), b.Elem())
	case *types.Map:
		b, ok := b.(*types.Map)
		return ok && s.types(a.Key(), b.Key()) && s.types(a.Elem(), b.Elem())
	case *types.Signature:
		b, ok := b.(*types.Signature)
		return ok && a.Variadic() == b.Variadic() && s.tuples(a.Params(), b.Params()) && s.tuples(a.Results(), b.Results())
	case *types.Struct:
		b, ok := b.(*types.Struct)
		return ok && s.structs(a, b)
	case *types.Interface:
		b, ok := b.(*types.Interface)
		return ok && s.interfaces(a, b)
	}
	return types.Identical(a, b)
}

func (s sameness) tuples(a, b *types.Tuple) bool {
	if a.Len() != b.Len() {
		return false
	}
	for i := range a.Len() {
		if !s.types(a.At(i).Type(), b.At(i).Type()) {
			return false
		}
	}
	return true
}

func (s sameness) structs(a, b *types.Struct) bool {
	if a.NumFields() != b.NumFields() {
		return false
	}
	for i := range a.NumFields() {
		f, g := a.Field(i), b.Field(i)
		if f.Id() != g.Id() || f.Embedded() != g.Embedded() || a.Tag(i) != b.Tag(i) || !s.types(f.Type(), g.Type()) {
			return false
		}
	}
	return true
}

func (s sameness) interfaces(a, b *types.Interface) bool {
	if !a.IsMethodSet() || !b.IsMethodSet() { // a constraint
		return types.Identical(a, b)
	}
	am, bm := interfaceMethods(a), interfaceMethods(b)
	if len(am) != len(bm) || a.IsComparable() != b.IsComparable() {
		return false
	}
	for i := range am {
		if am[i].Id() != bm[i].Id() || !s.types(am[i].Signature(), bm[i].Signature()) {
			return false
		}
	}
	return true
}
