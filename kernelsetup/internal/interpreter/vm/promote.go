package vm

import (
	"go/constant"
	"go/token"
	"go/types"

	"golang.org/x/tools/go/ssa"
)

// canPromote reports whether a variable in memory can live in the frame's
// slots instead: a small struct that is only read and written, as a whole or
// by field.
func (a *allocation) canPromote(v *ssa.Alloc) bool {
	l := a.m.layoutOf(elemType(v.Type()))
	if l.isBox() {
		return false
	}
	if _, ok := l.typ.Underlying().(*types.Struct); !ok {
		return false
	}
	return onlyFields(v, *v.Referrers())
}

// onlyFields reports whether the variable at addr is only used by value.
func onlyFields(addr ssa.Value, refs []ssa.Instruction) bool {
	for _, r := range refs {
		switch r := r.(type) {
		case *ssa.UnOp:
			if r.Op != token.MUL {
				return false
			}
		case *ssa.Store:
			if r.Val == addr {
				return false
			}
		case *ssa.FieldAddr:
			if !onlyFields(r, *r.Referrers()) {
				return false
			}
		case *ssa.DebugRef:
		default:
			return false
		}
	}
	return true
}

// promoted returns the slots that an address stands for, where it is that of
// a promoted variable or of a field in one.
func (a *allocation) promotedAt(addr ssa.Value) (loc, bool) {
	switch v := addr.(type) {
	case *ssa.Alloc:
		if a.promoted[v] {
			return a.locs[v], true
		}
	case *ssa.FieldAddr:
		base, ok := a.promotedAt(v.X)
		if !ok {
			return loc{}, false
		}
		f := a.m.layoutOf(elemType(v.X.Type())).fields[v.Field]
		return loc{base.s + int32(f.s), base.p + int32(f.p)}, true
	}
	return loc{}, false
}

// inPromoted reports whether addr is a field of a promoted variable, whose
// slots need not have been assigned yet.
func (a *allocation) inPromoted(addr ssa.Value) bool {
	for {
		switch v := addr.(type) {
		case *ssa.Alloc:
			return a.promoted[v]
		case *ssa.FieldAddr:
			addr = v.X
		default:
			return false
		}
	}
}

// findAppends recognises append(s, a, b): ssa puts a and b into an array of
// their own, which need not exist.
func (a *allocation) findAppends() {
	for _, b := range a.fn.Blocks {
		for _, in := range b.Instrs {
			arr, ok := in.(*ssa.Alloc)
			if !ok || arr.Comment != "varargs" {
				continue
			}
			if vals, sl := elementsOf(arr); vals != nil {
				a.elided[arr] = true
				a.appends[sl] = vals
				for _, r := range *arr.Referrers() {
					a.elided[r] = true
					if ix, ok := r.(*ssa.IndexAddr); ok {
						a.elided[(*ix.Referrers())[0]] = true
					}
				}
			}
		}
	}
}

// elementsOf returns what is put into an array that only serves one append.
func elementsOf(arr *ssa.Alloc) ([]ssa.Value, *ssa.Slice) {
	n := int(elemType(arr.Type()).Underlying().(*types.Array).Len())
	if n == 0 || n > 8 || len(*arr.Referrers()) != n+1 {
		return nil, nil
	}
	vals := make([]ssa.Value, n)
	var sl *ssa.Slice
	for _, r := range *arr.Referrers() {
		switch r := r.(type) {
		case *ssa.IndexAddr:
			c, ok := r.Index.(*ssa.Const)
			if !ok || len(*r.Referrers()) != 1 || r.Block() != arr.Block() {
				return nil, nil
			}
			st, ok := (*r.Referrers())[0].(*ssa.Store)
			i, exact := constant.Int64Val(c.Value)
			if !ok || !exact || st.Addr != ssa.Value(r) || st.Block() != arr.Block() || i >= int64(n) {
				return nil, nil
			}
			vals[i] = st.Val
		case *ssa.Slice:
			if sl != nil || r.Low != nil || r.High != nil || r.Block() != arr.Block() {
				return nil, nil
			}
			sl = r
		default:
			return nil, nil
		}
	}
	if sl == nil || len(*sl.Referrers()) != 1 {
		return nil, nil
	}
	for _, v := range vals {
		if v == nil {
			return nil, nil
		}
	}
	call, ok := (*sl.Referrers())[0].(*ssa.Call)
	if !ok || call.Block() != arr.Block() {
		return nil, nil
	}
	b, ok := call.Call.Value.(*ssa.Builtin)
	if !ok || b.Name() != "append" || call.Call.Args[1] != ssa.Value(sl) || call.Call.Args[0] == ssa.Value(sl) {
		return nil, nil
	}
	return vals, sl
}
