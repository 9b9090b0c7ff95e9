package vm

import (
	"fmt"
	"go/types"
	"reflect"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// A value lives in slots: scalars in 64-bit words that the garbage collector
// does not look at, pointers in words that it does. A string is a pointer and
// a length, a slice a pointer and two scalars, an interface two pointers, a
// small struct the slots of its fields. Arrays and large structs are boxes:
// one pointer to memory that nobody changes.

// memKind is how one slot looks in memory.
type memKind uint8

const (
	memU8 memKind = iota
	memI8
	memU16
	memI16
	memU32
	memI32
	mem64
	memPtr
	memBox
)

// comp is one slot of a value.
type comp struct {
	kind  memKind
	off   uintptr
	box   unsafe.Pointer // the type word of a box
	size  uintptr        // of a box
	float bool           // travels in a floating-point register
}

func (c comp) isPtr() bool { return c.kind >= memPtr }

// layout describes the values of a type.
type layout struct {
	typ    types.Type
	comps  []comp
	nS, nP int
	fields []fieldSlots // of a flattened struct
	rt     reflect.Type // nil until wanted
	word   unsafe.Pointer
	zero   unsafe.Pointer // of a box: its zero value
	writer writerKind
}

// writerKind tells whether values may be writers that are handed over; see
// standard.
type writerKind uint8

const (
	noWriter writerKind = iota
	oneWriter
	manyWriters // a slice of them
)

// isWriter reports whether an interface has the method of io.Writer.
func isWriter(t types.Type) bool {
	i, ok := t.Underlying().(*types.Interface)
	if !ok {
		return false
	}
	for m := range i.Methods() {
		if sig := m.Signature(); m.Name() == "Write" && sig.Params().Len() == 1 && sig.Results().Len() == 2 {
			return types.Identical(sig.Params().At(0).Type(), types.NewSlice(types.Typ[types.Byte]))
		}
	}
	return false
}

// fieldSlots says where a field's slots begin.
type fieldSlots struct {
	s, p   int
	layout *layout
}

const maxFlatSlots = 8

// isBox reports whether values of the type are one box.
func (l *layout) isBox() bool { return len(l.comps) == 1 && l.comps[0].kind == memBox }

// rtype returns the run-time type.
func (m *Machine) rtype(l *layout) reflect.Type {
	if l.rt == nil {
		l.rt = m.runtimeType(l.typ)
		l.word = rtype.TypePtr(l.rt)
	}
	return l.rt
}

// typeWord returns what an interface that holds such a value points to.
func (m *Machine) typeWord(l *layout) unsafe.Pointer {
	if l.word == nil {
		m.rtype(l)
	}
	return l.word
}

// runtimeType returns the reflect type of t. It panics with a *buildError
// where there is none.
func (m *Machine) runtimeType(t types.Type) reflect.Type {
	rt, err := m.types.Type(t)
	if err != nil {
		panic(&buildError{msg: err.Error()})
	}
	return rt
}

// maxByPtr bounds the layouts that are found without comparing types: each
// cell has types of its own that are identical to earlier ones.
const maxByPtr = 4096

// layoutOf returns the layout of t. The machine's lock must be held.
func (m *Machine) layoutOf(t types.Type) *layout {
	if l, ok := m.layoutByPtr[t]; ok {
		return l
	}
	l, ok := m.layouts.At(t).(*layout)
	if !ok {
		l = m.newLayout(t)
		m.layouts.Set(t, l)
	}
	if len(m.layoutByPtr) >= maxByPtr {
		clear(m.layoutByPtr)
	}
	m.layoutByPtr[t] = l
	return l
}

func (m *Machine) newLayout(t types.Type) *layout {
	l := &layout{typ: t}
	switch u := t.Underlying().(type) {
	case *types.Basic:
		l.addBasic(u)
	case *types.Pointer, *types.Map, *types.Chan, *types.Signature:
		l.add(comp{kind: memPtr})
	case *types.Slice:
		l.add(comp{kind: memPtr})
		l.add(comp{kind: mem64, off: 8})
		l.add(comp{kind: mem64, off: 16})
		if isWriter(u.Elem()) {
			l.writer = manyWriters
		}
	case *types.Interface:
		l.add(comp{kind: memPtr})
		l.add(comp{kind: memPtr, off: 8})
		if isWriter(u) {
			l.writer = oneWriter
		}
	case *types.Struct:
		m.addStruct(l, u)
	case *types.Array:
		m.addBox(l)
	case *types.Tuple:
		for i := range u.Len() {
			m.addField(l, u.At(i).Type(), 0)
		}
	default:
		panic(&buildError{msg: fmt.Sprintf("no layout for %s", t)})
	}
	return l
}

func (l *layout) addBasic(b *types.Basic) {
	switch b.Kind() {
	case types.Bool, types.UntypedBool, types.Uint8:
		l.add(comp{kind: memU8})
	case types.Int8:
		l.add(comp{kind: memI8})
	case types.Int16:
		l.add(comp{kind: memI16})
	case types.Uint16:
		l.add(comp{kind: memU16})
	case types.Int32, types.UntypedRune:
		l.add(comp{kind: memI32})
	case types.Uint32:
		l.add(comp{kind: memU32})
	case types.Float32:
		l.add(comp{kind: memU32, float: true})
	case types.Int, types.Int64, types.Uint, types.Uint64, types.Uintptr,
		types.UntypedInt:
		l.add(comp{kind: mem64})
	case types.Float64, types.UntypedFloat:
		l.add(comp{kind: mem64, float: true})
	case types.Complex64:
		l.add(comp{kind: memU32, float: true})
		l.add(comp{kind: memU32, float: true, off: 4})
	case types.Complex128, types.UntypedComplex:
		l.add(comp{kind: mem64, float: true})
		l.add(comp{kind: mem64, float: true, off: 8})
	case types.String, types.UntypedString:
		l.add(comp{kind: memPtr})
		l.add(comp{kind: mem64, off: 8})
	case types.UnsafePointer, types.UntypedNil:
		l.add(comp{kind: memPtr})
	case types.Invalid: // an unused part of a tuple
	default:
		panic(&buildError{msg: fmt.Sprintf("no layout for %s", b)})
	}
}

func (l *layout) add(c comp) {
	l.comps = append(l.comps, c)
	if c.isPtr() {
		l.nP++
	} else {
		l.nS++
	}
}

func (m *Machine) addField(l *layout, t types.Type, off uintptr) {
	f := m.layoutOf(t)
	l.fields = append(l.fields, fieldSlots{l.nS, l.nP, f})
	for _, c := range f.comps {
		c.off += off
		l.add(c)
	}
}

func (m *Machine) addStruct(l *layout, u *types.Struct) {
	rt := m.rtype(l)
	for i := range u.NumFields() {
		f := m.layoutOf(u.Field(i).Type())
		if f.isBox() || len(l.comps)+len(f.comps) > maxFlatSlots {
			*l = layout{typ: l.typ, rt: l.rt, word: l.word}
			m.addBox(l)
			return
		}
		m.addField(l, u.Field(i).Type(), rt.Field(i).Offset)
	}
}

func (m *Machine) addBox(l *layout) {
	rt := m.rtype(l)
	l.add(comp{kind: memBox, box: l.word, size: rt.Size()})
}

// store writes the value in the slots at s and p to memory.
func (l *layout) store(mem, s, p unsafe.Pointer) {
	for i := range l.comps {
		c := &l.comps[i]
		at := unsafe.Add(mem, c.off)
		switch c.kind {
		case memU8, memI8:
			*(*uint8)(at) = uint8(*(*uint64)(s))
		case memU16, memI16:
			*(*uint16)(at) = uint16(*(*uint64)(s))
		case memU32, memI32:
			*(*uint32)(at) = uint32(*(*uint64)(s))
		case mem64:
			*(*uint64)(at) = *(*uint64)(s)
		case memPtr:
			*(*unsafe.Pointer)(at) = *(*unsafe.Pointer)(p)
		case memBox:
			abi.Typedmemmove(c.box, at, *(*unsafe.Pointer)(p))
		}
		if c.kind < memPtr {
			s = unsafe.Add(s, 8)
		} else {
			p = unsafe.Add(p, 8)
		}
	}
}

// load reads a value from memory into the slots at s and p.
func (l *layout) load(mem, s, p unsafe.Pointer) {
	for i := range l.comps {
		c := &l.comps[i]
		at := unsafe.Add(mem, c.off)
		switch c.kind {
		case memU8:
			*(*uint64)(s) = uint64(*(*uint8)(at))
		case memI8:
			*(*uint64)(s) = uint64(int64(*(*int8)(at)))
		case memU16:
			*(*uint64)(s) = uint64(*(*uint16)(at))
		case memI16:
			*(*uint64)(s) = uint64(int64(*(*int16)(at)))
		case memU32:
			*(*uint64)(s) = uint64(*(*uint32)(at))
		case memI32:
			*(*uint64)(s) = uint64(int64(*(*int32)(at)))
		case mem64:
			*(*uint64)(s) = *(*uint64)(at)
		case memPtr:
			*(*unsafe.Pointer)(p) = *(*unsafe.Pointer)(at)
		case memBox:
			box := abi.UnsafeNew(c.box)
			abi.Typedmemmove(c.box, box, at)
			*(*unsafe.Pointer)(p) = box
		}
		if c.kind < memPtr {
			s = unsafe.Add(s, 8)
		} else {
			p = unsafe.Add(p, 8)
		}
	}
}

// clear sets the slots at s and p to the zero value.
func (l *layout) clear(s, p unsafe.Pointer) {
	for i := range l.comps {
		switch c := &l.comps[i]; {
		case c.kind < memPtr:
			*(*uint64)(s) = 0
			s = unsafe.Add(s, 8)
		case c.kind == memPtr:
			*(*unsafe.Pointer)(p) = nil
			p = unsafe.Add(p, 8)
		default:
			*(*unsafe.Pointer)(p) = l.zeroBox(c)
			p = unsafe.Add(p, 8)
		}
	}
}

// zeroBox returns a zero value that is a box.
func (l *layout) zeroBox(c *comp) unsafe.Pointer {
	const keep = 1 << 16
	if c.size > keep || len(l.comps) > 1 {
		return abi.UnsafeNew(c.box)
	}
	if z := atomic.LoadPointer(&l.zero); z != nil {
		return z
	}
	z := abi.UnsafeNew(c.box)
	atomic.StorePointer(&l.zero, z)
	return z
}

// word returns the value in the slots as the data word of an interface.
func (m *Machine) dataWord(l *layout, s, p unsafe.Pointer) unsafe.Pointer {
	if l.isBox() && !rtype.IsDirect(m.rtype(l)) {
		return *(*unsafe.Pointer)(p)
	}
	if rtype.IsDirect(m.rtype(l)) {
		if l.isBox() { // an array of one pointer
			return *(*unsafe.Pointer)(*(*unsafe.Pointer)(p))
		}
		return *(*unsafe.Pointer)(p)
	}
	mem := abi.UnsafeNew(l.word)
	l.store(mem, s, p)
	return mem
}

// loadWord reads a value of the layout from an interface's data word.
func (m *Machine) loadWord(l *layout, data, s, p unsafe.Pointer) {
	if rtype.IsDirect(m.rtype(l)) {
		if l.isBox() {
			box := abi.UnsafeNew(l.word)
			*(*unsafe.Pointer)(box) = data
			data = box
		}
		*(*unsafe.Pointer)(p) = data
		return
	}
	if l.isBox() { // nobody changes what an interface holds
		*(*unsafe.Pointer)(p) = data
		return
	}
	l.load(data, s, p)
}

// value returns the value in the slots as a reflect.Value.
func (m *Machine) value(l *layout, s, p unsafe.Pointer) reflect.Value {
	mem := abi.UnsafeNew(m.typeWord(l))
	l.store(mem, s, p)
	return reflect.NewAt(l.rt, mem).Elem()
}

// setValue puts a reflect.Value of the layout's type into slots, or one of an
// earlier form of the type, which looks the same in memory.
func (m *Machine) setValue(l *layout, v reflect.Value, s, p unsafe.Pointer) {
	rt := m.rtype(l)
	if !v.Type().AssignableTo(rt) && v.Kind() == rt.Kind() && v.Type().Size() == rt.Size() && v.Type().String() == rt.String() {
		rt = v.Type()
	}
	mem := reflect.New(rt)
	mem.Elem().Set(v)
	l.load(mem.UnsafePointer(), s, p)
}

// makeString puts a string's two slots together.
func makeString(p unsafe.Pointer, n uint64) string { return unsafe.String((*byte)(p), int(n)) }

func elemType(t types.Type) types.Type {
	switch u := t.Underlying().(type) {
	case *types.Pointer:
		return u.Elem()
	case *types.Slice:
		return u.Elem()
	case *types.Array:
		return u.Elem()
	case *types.Chan:
		return u.Elem()
	case *types.Map:
		return u.Elem()
	}
	return nil
}
