package program

import "go/types"

// sameSignature reports whether two declarations of a function or method can
// stand for each other. The type parameters of receivers may have other names.
func sameSignature(a, b *types.Func) bool {
	if pointerReceiver(a) != pointerReceiver(b) {
		return false
	}
	as, bs := a.Signature(), b.Signature()
	ap, bp := as.RecvTypeParams(), bs.RecvTypeParams()
	if ap.Len() == 0 || ap.Len() != bp.Len() {
		return types.Identical(as, bs)
	}
	same := renamed{}
	for i := range ap.Len() {
		same[ap.At(i)] = bp.At(i)
	}
	return same.signatures(as, bs)
}

// renamed are the type parameters of one receiver by those of another.
type renamed map[*types.TypeParam]*types.TypeParam

// types reports whether two types are the same but for the names. A struct or
// interface that is written out with a type parameter in it is not recognised.
func (r renamed) types(a, b types.Type) bool {
	a, b = types.Unalias(a), types.Unalias(b)
	switch a := a.(type) {
	case *types.TypeParam:
		return r[a] != nil && types.Type(r[a]) == b
	case *types.Pointer:
		b, ok := b.(*types.Pointer)
		return ok && r.types(a.Elem(), b.Elem())
	case *types.Slice:
		b, ok := b.(*types.Slice)
		return ok && r.types(a.Elem(), b.Elem())
	case *types.Array:
		b, ok := b.(*types.Array)
		return ok && a.Len() == b.Len() && r.types(a.Elem(), b.Elem())
	case *types.Chan:
		b, ok := b.(*types.Chan)
		return ok && a.Dir() == b.Dir() && r.types(a.Elem(), b.Elem())
	case *types.Map:
		b, ok := b.(*types.Map)
		return ok && r.types(a.Key(), b.Key()) && r.types(a.Elem(), b.Elem())
	case *types.Signature:
		b, ok := b.(*types.Signature)
		return ok && r.signatures(a, b)
	case *types.Named:
		if b, ok := b.(*types.Named); ok && a.Origin() == b.Origin() && a.TypeArgs().Len() == b.TypeArgs().Len() {
			for i := range a.TypeArgs().Len() {
				if !r.types(a.TypeArgs().At(i), b.TypeArgs().At(i)) {
					return false
				}
			}
			return true
		}
	}
	return types.Identical(a, b)
}

func (r renamed) signatures(a, b *types.Signature) bool {
	return a.Variadic() == b.Variadic() && r.tuples(a.Params(), b.Params()) && r.tuples(a.Results(), b.Results())
}

func (r renamed) tuples(a, b *types.Tuple) bool {
	if a.Len() != b.Len() {
		return false
	}
	for i := range a.Len() {
		if !r.types(a.At(i).Type(), b.At(i).Type()) {
			return false
		}
	}
	return true
}
