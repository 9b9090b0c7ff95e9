package vm

import (
	"go/constant"
	"go/types"
	"math"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// slotValues is a constant, slot by slot.
type slotValues struct {
	s []uint64
	p []unsafe.Pointer
}

// constSlots returns the slots of a constant.
func (m *Machine) constSlots(c *ssa.Const) slotValues {
	l := m.layoutOf(c.Type())
	if c.Value == nil {
		return m.zeroSlots(l)
	}
	b, ok := c.Type().Underlying().(*types.Basic)
	if !ok {
		panic(&buildError{msg: "constant of type " + c.Type().String()})
	}
	switch info := b.Info(); {
	case info&types.IsBoolean != 0:
		return slotValues{s: []uint64{b2u(constant.BoolVal(c.Value))}}
	case info&types.IsString != 0:
		text := constant.StringVal(c.Value)
		return slotValues{p: []unsafe.Pointer{unsafe.Pointer(unsafe.StringData(text))}, s: []uint64{uint64(len(text))}}
	case info&types.IsInteger != 0:
		return slotValues{s: []uint64{intConst(c.Value)}}
	case b.Kind() == types.Float32:
		f, _ := constant.Float32Val(c.Value)
		return slotValues{s: []uint64{uint64(math.Float32bits(f))}}
	case info&types.IsFloat != 0:
		f, _ := constant.Float64Val(c.Value)
		return slotValues{s: []uint64{math.Float64bits(f)}}
	case b.Kind() == types.Complex64:
		re, _ := constant.Float32Val(constant.Real(c.Value))
		im, _ := constant.Float32Val(constant.Imag(c.Value))
		return slotValues{s: []uint64{uint64(math.Float32bits(re)), uint64(math.Float32bits(im))}}
	case b.Kind() == types.UnsafePointer:
		return slotValues{p: []unsafe.Pointer{unsafe.Add(nil, int(intConst(c.Value)))}}
	case info&types.IsComplex != 0:
		re, _ := constant.Float64Val(constant.Real(c.Value))
		im, _ := constant.Float64Val(constant.Imag(c.Value))
		return slotValues{s: []uint64{math.Float64bits(re), math.Float64bits(im)}}
	}
	panic(&buildError{msg: "constant of type " + c.Type().String()})
}

func intConst(v constant.Value) uint64 {
	v = constant.ToInt(v)
	if i, ok := constant.Int64Val(v); ok {
		return uint64(i)
	}
	u, _ := constant.Uint64Val(v)
	return u
}

func (m *Machine) zeroSlots(l *layout) slotValues {
	v := slotValues{s: make([]uint64, l.nS)}
	for i := range l.comps {
		switch c := &l.comps[i]; c.kind {
		case memPtr:
			v.p = append(v.p, nil)
		case memBox:
			v.p = append(v.p, l.zeroBox(c))
		}
	}
	return v
}

// constant reports whether v has a value that never changes, and its slots.
func (m *Machine) constant(v ssa.Value) (slotValues, bool) {
	switch v := v.(type) {
	case *ssa.Const:
		return m.constSlots(v), true
	case *ssa.Global:
		return slotValues{p: []unsafe.Pointer{m.globalAddr(v)}}, true
	case *ssa.Function:
		return slotValues{p: []unsafe.Pointer{m.funcValue(v)}}, true
	case *ssa.Builtin:
		panic(&buildError{msg: "builtin " + v.Name() + " used as a value"})
	}
	return slotValues{}, false
}

// smallInt returns the value of an integer constant that fits an operand.
func smallInt(v ssa.Value) (int32, bool) {
	c, ok := v.(*ssa.Const)
	if !ok || c.Value == nil {
		if ok && isInteger(c.Type()) {
			return 0, true
		}
		return 0, false
	}
	if !isInteger(c.Type()) {
		return 0, false
	}
	u := int64(intConst(c.Value))
	if u != int64(int32(u)) || u == math.MinInt32 {
		return 0, false
	}
	return int32(u), true
}

func isInteger(t types.Type) bool {
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&types.IsInteger != 0
}
