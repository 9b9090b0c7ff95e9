package interpreter

import (
	"fmt"
	"go/token"
	"go/types"
	"math"
	"math/bits"
)

// tooLarge refuses a cell with a value that takes more memory at once than is
// allowed, such as [1<<40]int{}: the run time of Go would end the process.
func (c *change) tooLarge() *Error {
	limit, known := c.s.limits.Memory, map[types.Type]uint64{}
	at, most := token.NoPos, uint64(0)
	look := func(pos token.Pos, t types.Type) {
		if n := sizeAtLeast(t, known); n > limit && (at == token.NoPos || pos < at) {
			at, most = pos, n
		}
	}
	for e, tv := range c.info.Types {
		if tv.IsValue() && tv.Value == nil {
			look(e.Pos(), tv.Type)
		}
	}
	for id, o := range c.info.Defs {
		if v, ok := o.(*types.Var); ok && !v.IsField() {
			look(id.Pos(), v.Type())
		}
	}
	if at == token.NoPos {
		return nil
	}
	return c.s.place.errorAt(LimitExceeded, at, fmt.Sprintf("out of memory: %s wanted at once, %s are allowed", bytesText(most), bytesText(limit)))
}

// sizeAtLeast is how many bytes a value of a type takes, without the gaps
// between fields; of a map or channel, how many one of its elements does.
func sizeAtLeast(t types.Type, known map[types.Type]uint64) (n uint64) {
	const word = 8
	switch u := types.Unalias(t).Underlying().(type) {
	case *types.Array, *types.Struct, *types.Map, *types.Chan:
		n, ok := known[t]
		if !ok {
			known[t] = word // of a type that holds itself, by a map
			n = sizeOfParts(u, known)
			known[t] = n
		}
		return n
	case *types.Basic:
		if u.Kind() != types.Invalid && u.Info()&types.IsUntyped == 0 {
			return uint64(sizes.Sizeof(u))
		}
	}
	return word
}

func sizeOfParts(t types.Type, known map[types.Type]uint64) (n uint64) {
	switch t := t.(type) {
	case *types.Array:
		hi, lo := bits.Mul64(uint64(max(t.Len(), 0)), sizeAtLeast(t.Elem(), known))
		if hi > 0 {
			return math.MaxUint64
		}
		return lo
	case *types.Struct:
		for f := range t.Fields() {
			if more := sizeAtLeast(f.Type(), known); n+more >= n {
				n += more
			} else {
				return math.MaxUint64
			}
		}
	case *types.Map:
		return max(sizeAtLeast(t.Key(), known), sizeAtLeast(t.Elem(), known))
	case *types.Chan:
		return sizeAtLeast(t.Elem(), known)
	}
	return n
}
