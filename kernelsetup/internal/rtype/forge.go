package rtype

import (
	"go/types"
	"math/bits"
	"reflect"
	"sync/atomic"
	"unsafe"
)

// block is the memory of one forged type: the kind's struct with what follows
// it.
type block struct {
	typ     *abiType
	uncom   *abiUncommon
	args    []*abiType // of a func type
	methods []abiMethod
}

// kindStructs are the kinds' structs as types, for allocation with pointer
// maps that are true.
var kindStructs = map[reflect.Kind]reflect.Type{
	reflect.Array:     reflect.TypeFor[abiArray](),
	reflect.Chan:      reflect.TypeFor[abiChan](),
	reflect.Func:      reflect.TypeFor[abiFunc](),
	reflect.Interface: reflect.TypeFor[abiInterface](),
	reflect.Map:       reflect.TypeFor[abiMap](),
	reflect.Pointer:   reflect.TypeFor[abiPointer](),
	reflect.Slice:     reflect.TypeFor[abiSlice](),
	reflect.Struct:    reflect.TypeFor[abiStruct](),
}

// newBlock allocates a type of the kind with room for args and methods.
func newBlock(kind reflect.Kind, args, methods int) block {
	kindStruct, ok := kindStructs[kind]
	if !ok {
		kindStruct = reflect.TypeFor[abiType]()
	}
	room := 0
	if methods > 0 { // few sizes: each is a type for good
		room = 1 << bits.Len(uint(methods-1))
	}
	v := reflect.New(reflect.StructOf([]reflect.StructField{
		{Name: "Type", Type: kindStruct},
		{Name: "Uncommon", Type: reflect.TypeFor[abiUncommon]()},
		{Name: "Args", Type: reflect.ArrayOf(args, reflect.TypeFor[*abiType]())},
		{Name: "Methods", Type: reflect.ArrayOf(room, reflect.TypeFor[abiMethod]())},
	}))
	base := v.UnsafePointer()
	at := func(field int) unsafe.Pointer {
		return unsafe.Add(base, v.Type().Elem().Field(field).Offset)
	}
	b := block{typ: (*abiType)(base), uncom: (*abiUncommon)(at(1))}
	if args > 0 {
		b.args = unsafe.Slice((**abiType)(at(2)), args)
	}
	if methods > 0 {
		b.methods = unsafe.Slice((*abiMethod)(at(3)), methods)
	}
	b.uncom.moff = uint32(v.Type().Elem().Field(3).Offset - v.Type().Elem().Field(1).Offset)
	b.uncom.mcount = uint16(methods)
	return b
}

// copyKind copies the kind's struct of the same kind.
func (b block) copyKind(from *abiType) {
	switch reflect.Kind(from.kind) {
	case reflect.Array:
		*(*abiArray)(unsafe.Pointer(b.typ)) = *(*abiArray)(unsafe.Pointer(from))
	case reflect.Chan:
		*(*abiChan)(unsafe.Pointer(b.typ)) = *(*abiChan)(unsafe.Pointer(from))
	case reflect.Func:
		*(*abiFunc)(unsafe.Pointer(b.typ)) = *(*abiFunc)(unsafe.Pointer(from))
	case reflect.Interface:
		*(*abiInterface)(unsafe.Pointer(b.typ)) = *(*abiInterface)(unsafe.Pointer(from))
	case reflect.Map:
		*(*abiMap)(unsafe.Pointer(b.typ)) = *(*abiMap)(unsafe.Pointer(from))
	case reflect.Pointer:
		*(*abiPointer)(unsafe.Pointer(b.typ)) = *(*abiPointer)(unsafe.Pointer(from))
	case reflect.Slice:
		*(*abiSlice)(unsafe.Pointer(b.typ)) = *(*abiSlice)(unsafe.Pointer(from))
	case reflect.Struct:
		*(*abiStruct)(unsafe.Pointer(b.typ)) = *(*abiStruct)(unsafe.Pointer(from))
	default:
		*b.typ = *from
	}
}

// typeCount numbers forged types, for hashes that differ.
var typeCount atomic.Uint32

// dress makes b, a copy of its shape, a type of its own.
func (b block) dress(str string, exported, named bool) {
	b.typ.tflag &= flagRegularMemory | flagGCMaskOnDemand | flagDirectInterface
	if named {
		b.typ.tflag |= flagNamed | flagUncommon
	} else if len(b.methods) > 0 {
		b.typ.tflag |= flagUncommon
	}
	b.typ.hash = fnv(str) ^ typeCount.Add(1)*0x9E3779B1
	b.typ.str = nameOff(str, exported, 0)
	b.typ.ptrToThis = 0
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
		r.addInstance(t, reflectOf(f.self.typ))
	}
	path := nameOff(t.Obj().Pkg().Path(), false, 0)
	f.self.uncom.pkgPath, f.ptr.uncom.pkgPath = path, path
	if err := r.complete(f.self, under, t.Obj().Pkg()); err != nil {
		return nil, err
	}
	if err := f.addMethods(r, t.Obj().Pkg()); err != nil {
		return nil, err
	}
	return reflectOf(f.self.typ), nil
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
	f.self.copyKind(abiOf(shape))
	f.self.dress(str, exported, named)
	if f.self.typ.equal != nil {
		switch shape.Kind() {
		case reflect.Struct:
			f.self.typ.equal = structEqual((*abiStruct)(unsafe.Pointer(f.self.typ)))
		case reflect.Array:
			f.self.typ.equal = arrayEqual((*abiArray)(unsafe.Pointer(f.self.typ)))
		}
	}
	f.ptr = newBlock(reflect.Pointer, 0, len(f.ptrSels))
	f.ptr.copyKind(abiOf(plainPtrType))
	f.ptr.dress("*"+str, exported, false)
	(*abiPointer)(unsafe.Pointer(f.ptr.typ)).elem = f.self.typ
	// Offsets keep both alive for good: the runtime's own tables refer to
	// types by addresses that the collector does not follow.
	typeOff(f.self.typ)
	f.self.typ.ptrToThis = typeOff(f.ptr.typ)
	r.set(t, reflectOf(f.self.typ))
	r.set(types.NewPointer(t), reflectOf(f.ptr.typ))
	return f, nil
}

// complete fills in the parts of b, a type whose underlying type is t.
func (r *Registry) complete(b block, t types.Type, pkg *types.Package) error {
	part := func(t types.Type) (*abiType, error) {
		rt, err := r.get(t)
		if err != nil {
			return nil, err
		}
		return abiOf(rt), nil
	}
	var err error
	switch t := t.(type) {
	case *types.Pointer:
		(*abiPointer)(unsafe.Pointer(b.typ)).elem, err = part(t.Elem())
	case *types.Slice:
		(*abiSlice)(unsafe.Pointer(b.typ)).elem, err = part(t.Elem())
	case *types.Array:
		a := (*abiArray)(unsafe.Pointer(b.typ))
		if a.elem, err = part(t.Elem()); err == nil {
			a.slice = abiOf(reflect.SliceOf(reflectOf(a.elem)))
		}
	case *types.Chan:
		c := (*abiChan)(unsafe.Pointer(b.typ))
		c.elem, err = part(t.Elem())
		c.dir = int(chanDir(t.Dir()))
	case *types.Map:
		var m *abiType
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
	f := (*abiFunc)(unsafe.Pointer(b.typ))
	from := (*abiFunc)(unsafe.Pointer(abiOf(u)))
	f.in, f.out = from.in, from.out
	for i := range u.NumIn() {
		b.args[i] = abiOf(u.In(i))
	}
	for i := range u.NumOut() {
		b.args[u.NumIn()+i] = abiOf(u.Out(i))
	}
	return nil
}
