package rtype

import (
	"go/types"
	"math/bits"
	"reflect"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// block is the memory of one forged type: the kind's struct with what follows
// it.
type block struct {
	typ     *abi.Type
	uncom   *abi.UncommonType
	args    []*abi.Type // of a func type
	methods []abi.Method
}

// kindStructs are the kinds' structs as types, for allocation with pointer
// maps that are true.
var kindStructs = map[reflect.Kind]reflect.Type{
	reflect.Array:     reflect.TypeFor[abi.ArrayType](),
	reflect.Chan:      reflect.TypeFor[abi.ChanType](),
	reflect.Func:      reflect.TypeFor[abi.FuncType](),
	reflect.Interface: reflect.TypeFor[abi.InterfaceType](),
	reflect.Map:       reflect.TypeFor[abi.MapType](),
	reflect.Pointer:   reflect.TypeFor[abi.PtrType](),
	reflect.Slice:     reflect.TypeFor[abi.SliceType](),
	reflect.Struct:    reflect.TypeFor[abi.StructType](),
}

// newBlock allocates a type of the kind with room for args and methods.
func newBlock(kind reflect.Kind, args, methods int) block {
	kindStruct, ok := kindStructs[kind]
	if !ok {
		kindStruct = reflect.TypeFor[abi.Type]()
	}
	room := 0
	if methods > 0 { // few sizes: each is a type for good
		room = 1 << bits.Len(uint(methods-1))
	}
	v := reflect.New(reflect.StructOf([]reflect.StructField{
		{Name: "Type", Type: kindStruct},
		{Name: "Uncommon", Type: reflect.TypeFor[abi.UncommonType]()},
		{Name: "Args", Type: reflect.ArrayOf(args, reflect.TypeFor[*abi.Type]())},
		{Name: "Methods", Type: reflect.ArrayOf(room, reflect.TypeFor[abi.Method]())},
	}))
	base := v.UnsafePointer()
	at := func(field int) unsafe.Pointer {
		return unsafe.Add(base, v.Type().Elem().Field(field).Offset)
	}
	b := block{typ: (*abi.Type)(base), uncom: (*abi.UncommonType)(at(1))}
	if args > 0 {
		b.args = unsafe.Slice((**abi.Type)(at(2)), args)
	}
	if methods > 0 {
		b.methods = unsafe.Slice((*abi.Method)(at(3)), methods)
	}
	b.uncom.Moff = uint32(v.Type().Elem().Field(3).Offset - v.Type().Elem().Field(1).Offset)
	b.uncom.Mcount = uint16(methods)
	return b
}

// copyKind copies the kind's struct of the same kind.
func (b block) copyKind(from *abi.Type) {
	switch reflect.Kind(from.Kind_) {
	case reflect.Array:
		*(*abi.ArrayType)(unsafe.Pointer(b.typ)) = *(*abi.ArrayType)(unsafe.Pointer(from))
	case reflect.Chan:
		*(*abi.ChanType)(unsafe.Pointer(b.typ)) = *(*abi.ChanType)(unsafe.Pointer(from))
	case reflect.Func:
		*(*abi.FuncType)(unsafe.Pointer(b.typ)) = *(*abi.FuncType)(unsafe.Pointer(from))
	case reflect.Interface:
		*(*abi.InterfaceType)(unsafe.Pointer(b.typ)) = *(*abi.InterfaceType)(unsafe.Pointer(from))
	case reflect.Map:
		*(*abi.MapType)(unsafe.Pointer(b.typ)) = *(*abi.MapType)(unsafe.Pointer(from))
	case reflect.Pointer:
		*(*abi.PtrType)(unsafe.Pointer(b.typ)) = *(*abi.PtrType)(unsafe.Pointer(from))
	case reflect.Slice:
		*(*abi.SliceType)(unsafe.Pointer(b.typ)) = *(*abi.SliceType)(unsafe.Pointer(from))
	case reflect.Struct:
		*(*abi.StructType)(unsafe.Pointer(b.typ)) = *(*abi.StructType)(unsafe.Pointer(from))
	default:
		*b.typ = *from
	}
}

// typeCount numbers forged types, for hashes that differ.
var typeCount atomic.Uint32

// dress makes b, a copy of its shape, a type of its own.
func (b block) dress(str string, exported, named bool) {
	b.typ.TFlag &= abi.TFlagRegularMemory | abi.TFlagGCMaskOnDemand | abi.TFlagDirectIface
	if named {
		b.typ.TFlag |= abi.TFlagNamed | abi.TFlagUncommon
	} else if len(b.methods) > 0 {
		b.typ.TFlag |= abi.TFlagUncommon
	}
	b.typ.Hash = fnv(str) ^ typeCount.Add(1)*0x9E3779B1
	b.typ.Str = abi.NewNameOff(str, exported, 0)
	b.typ.PtrToThis = 0
}

func fnv(s string) uint32 {
	h := uint32(2166136261)
	for i := range len(s) {
		h = (h ^ uint32(s[i])) * 16777619
	}
	return h
}

// makeNamed returns the compiled type of t or forges one.
func (r *Registry) makeNamed(t *types.Named) (reflect.Type, error) {
	if rt := r.compiledNamed(t); rt != nil {
		return rt, nil
	}
	under := t.Underlying()
	if i, ok := under.(*types.Interface); ok && !i.IsMethodSet() {
		return nil, notAtRunTime(t)
	}
	if t.TypeArgs().Len() > 0 {
		if rt, err := r.instance(t); rt != nil || err != nil {
			return rt, err
		}
	}
	f, err := r.forge(t, under, typeName(t), t.Obj().Exported(), true)
	if err != nil {
		return nil, err
	}
	if t.TypeArgs().Len() > 0 {
		r.addInstance(t, f.self.typ.Reflect())
	}
	path := abi.NewNameOff(t.Obj().Pkg().Path(), false, 0)
	f.self.uncom.PkgPath, f.ptr.uncom.PkgPath = path, path
	if err := r.complete(f.self, under, t.Obj().Pkg()); err != nil {
		return nil, err
	}
	if err := f.addMethods(r, t.Obj().Pkg()); err != nil {
		return nil, err
	}
	return f.self.typ.Reflect(), nil
}

// forged is a type T with its *T and their method sets.
type forged struct {
	typ                types.Type
	self, ptr          block
	selfSels, ptrSels  []*types.Selection
	selfBound, ptrBind map[string]*method
}

// forge makes T and *T, of final size, without their parts, and enters them.
func (r *Registry) forge(t, under types.Type, str string, exported, named bool) (*forged, error) {
	shape, err := r.shapes.of(under)
	if err != nil {
		return nil, err
	}
	f := &forged{typ: t}
	args := 0
	switch under := under.(type) {
	case *types.Interface, *types.Pointer: // values have no methods of their own
	case *types.Signature:
		args = under.Params().Len() + under.Results().Len()
		f.findMethods(r)
	default:
		f.findMethods(r)
	}
	f.self = newBlock(shape.Kind(), args, len(f.selfSels))
	f.self.copyKind(abi.Of(shape))
	f.self.dress(str, exported, named)
	if f.self.typ.Equal != nil {
		switch shape.Kind() {
		case reflect.Struct:
			f.self.typ.Equal = structEqual((*abi.StructType)(unsafe.Pointer(f.self.typ)))
		case reflect.Array:
			f.self.typ.Equal = arrayEqual((*abi.ArrayType)(unsafe.Pointer(f.self.typ)))
		}
	}
	f.ptr = newBlock(reflect.Pointer, 0, len(f.ptrSels))
	f.ptr.copyKind(abi.Of(plainPtrType))
	f.ptr.dress("*"+str, exported, false)
	(*abi.PtrType)(unsafe.Pointer(f.ptr.typ)).Elem = f.self.typ
	// Offsets keep both alive for good: the runtime's own tables refer to
	// types by addresses that the collector does not follow.
	abi.NewTypeOff(f.self.typ)
	f.self.typ.PtrToThis = abi.NewTypeOff(f.ptr.typ)
	r.set(t, f.self.typ.Reflect())
	r.set(types.NewPointer(t), f.ptr.typ.Reflect())
	return f, nil
}

// complete fills in the parts of b, a type whose underlying type is t.
func (r *Registry) complete(b block, t types.Type, pkg *types.Package) error {
	part := func(t types.Type) (*abi.Type, error) {
		rt, err := r.get(t)
		if err != nil {
			return nil, err
		}
		return abi.Of(rt), nil
	}
	var err error
	switch t := t.(type) {
	case *types.Pointer:
		(*abi.PtrType)(unsafe.Pointer(b.typ)).Elem, err = part(t.Elem())
	case *types.Slice:
		(*abi.SliceType)(unsafe.Pointer(b.typ)).Elem, err = part(t.Elem())
	case *types.Array:
		a := (*abi.ArrayType)(unsafe.Pointer(b.typ))
		if a.Elem, err = part(t.Elem()); err == nil {
			a.Slice = abi.Of(reflect.SliceOf(a.Elem.Reflect()))
		}
	case *types.Chan:
		c := (*abi.ChanType)(unsafe.Pointer(b.typ))
		c.Elem, err = part(t.Elem())
		c.Dir = abi.ChanDir(chanDir(t.Dir()))
	case *types.Map:
		var m *abi.Type
		if m, err = part(t); err == nil {
			own := *b.typ
			b.copyKind(m)
			*b.typ = own
		}
	case *types.Signature:
		err = r.completeFunc(b, t)
	case *types.Struct:
		err = r.completeStruct(b, t)
	case *types.Interface:
		err = r.completeInterface(b, t, pkg)
	}
	return err
}

func (r *Registry) completeFunc(b block, t *types.Signature) error {
	u, err := r.get(t)
	if err != nil {
		return err
	}
	f := (*abi.FuncType)(unsafe.Pointer(b.typ))
	from := (*abi.FuncType)(unsafe.Pointer(abi.Of(u)))
	f.InCount, f.OutCount = from.InCount, from.OutCount
	for i := range u.NumIn() {
		b.args[i] = abi.Of(u.In(i))
	}
	for i := range u.NumOut() {
		b.args[u.NumIn()+i] = abi.Of(u.Out(i))
	}
	return nil
}
