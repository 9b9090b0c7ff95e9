package abi

import (
	"fmt"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"unsafe"
)

// An anchor is a type whose address and offset are both known: every other
// offset means an address beside it.
type anchor struct {
	of   string // the sample that is looked at, for messages
	at   unsafe.Pointer
	off  int32
	text uintptr // likewise the address of code with offset 0
}

const packagePath = "github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"

// address returns what an offset means. The run time could say so, but it ends
// the program where an offset is wrong.
func (c *checker) address(off int32) unsafe.Pointer {
	d := int(off) - int(c.base.off)
	c.must(off > 0 && d > -1<<27 && d < 1<<27, "is no offset of a name or type")
	return unsafe.Add(c.base.at, d)
}

// name reads the name that an offset means.
func (c *checker) name(off NameOff) string { return c.decode(c.address(int32(off))) }

// decode reads a name.
func (c *checker) decode(p unsafe.Pointer) string {
	length := *(*byte)(unsafe.Add(p, 1))
	c.must(length < 100, "is no name") // all names here are short
	name, _ := Name{(*byte)(p)}.counted(1)
	return name
}

// types checks all that lies in a type.
func (c *checker) types() {
	c.mirror()
	for i, s := range samples {
		kind := kindLayouts[s.typ.Kind()]
		c.base.of = s.typ.String() + ", a " + kind.Name()
		p, ptr := unsafe.Pointer(Of(s.typ)), unsafe.Pointer(Of(s.ptr))
		off := int32(read[TypeOff, Type](c, p, "PtrToThis"))
		if i == 0 {
			c.must(off > 0, "is no offset")
			c.base.off = off
		}
		c.must(c.address(off) == ptr, "leads to another type")
		c.common(s, p)
		kindChecks[s.typ.Kind()](c, s.typ, p)
		c.uncommon(s, unsafe.Add(p, c.size(kind)))
	}
	for t, set := range plain {
		c.base.of = t.String()
		c.typeFlags(unsafe.Pointer(Of(t)), set)
	}
}

// mirror compares Type with the struct that reflect's own types begin with,
// name by name.
func (c *checker) mirror() {
	want := reflect.TypeOf(reflect.TypeFor[int]()).Elem().Field(0).Type
	have := reflect.TypeFor[Type]()
	c.at, c.base.of = "Type", want.String()
	c.must(want.NumField() == have.NumField() && int(want.Size()) == c.size(have), "has another size")
	for i := range want.NumField() {
		w := want.Field(i)
		c.must(int(w.Offset) == c.offset(have, w.Name) && w.Type.Kind() == have.Field(i).Type.Kind(), "lies elsewhere")
	}
}

// common checks what all types begin with.
func (c *checker) common(s sample, p unsafe.Pointer) {
	t := s.typ
	same[Type](c, p, "Size_", t.Size())
	same[Type](c, p, "Kind_", Kind(t.Kind()))
	same[Type](c, p, "Align_", uint8(t.Align()))
	same[Type](c, p, "FieldAlign_", uint8(t.FieldAlign()))
	c.typeFlags(p, append([]string{"TFlagNamed", "TFlagUncommon", "TFlagExtraStar"}, s.flags...))
	equal := read[uintptr, Type](c, p, "Equal")
	c.must((equal != 0) == s.comparable && (equal == 0 || c.isCode(equal)), "is no function")
	if t.Kind() == reflect.Struct {
		same[Type](c, p, "PtrBytes", unsafe.Offsetof(sampleStruct{}.Q)+8)
		mask := (*byte)(follow[Type](c, p, "GCData"))
		c.must(*mask == 1<<1|1<<5, "is no mask of pointers")
	}
	str := c.name(read[NameOff, Type](c, p, "Str"))
	c.must(str == "*"+t.String(), fmt.Sprintf("reads %.40q", str))
}

// typeFlags checks each flag, set or not.
func (c *checker) typeFlags(p unsafe.Pointer, set []string) {
	flags := int(read[TFlag, Type](c, p, "TFlag"))
	for name := range constants {
		if strings.HasPrefix(name, "TFlag") {
			v := c.constant(name)
			c.must((flags&v != 0) == slices.Contains(set, name), "says something else")
		}
	}
}

// uncommon checks the UncommonType and the table of methods.
func (c *checker) uncommon(s sample, p unsafe.Pointer) {
	path := c.name(read[NameOff, UncommonType](c, p, "PkgPath"))
	c.must(path == packagePath, fmt.Sprintf("reads %.40q", path))
	same[UncommonType](c, p, "Mcount", s.methods)
	same[UncommonType](c, p, "Xcount", s.visible)
	first := unsafe.Add(p, int(read[uint32, UncommonType](c, p, "Moff")))
	if s.methods == 1 { // the table follows, for a func after its parts
		parts := 0
		if s.typ.Kind() == reflect.Func {
			parts = 8 * (s.typ.NumIn() + s.typ.NumOut())
		}
		c.must(first == unsafe.Add(p, c.size(reflect.TypeFor[UncommonType]())+parts), "leads elsewhere")
	}
	for i := range int(s.visible) {
		c.method(s.typ.Method(i), unsafe.Add(first, i*c.size(reflect.TypeFor[Method]())))
	}
}

// method checks one entry of a table of methods.
func (c *checker) method(m reflect.Method, p unsafe.Pointer) {
	c.must(c.name(read[NameOff, Method](c, p, "Name")) == m.Name, "is not "+m.Name)
	want := reflect.TypeFor[func(int) string]()
	if m.Name == "Beta" {
		want = reflect.TypeFor[func()]()
	}
	c.must(c.address(int32(read[TypeOff, Method](c, p, "Mtyp"))) == unsafe.Pointer(Of(want)), "is another type")
	tfn := read[TextOff, Method](c, p, "Tfn")
	start := m.Func.Pointer() - uintptr(tfn)
	if c.base.text == 0 {
		c.base.text = start
	}
	c.must(start == c.base.text, "is other code")
	ifn := c.base.text + uintptr(read[TextOff, Method](c, p, "Ifn"))
	c.at = "Method.Tfn or Method.Ifn"
	f := runtime.FuncForPC(ifn)
	c.must(f != nil && f.Entry() == ifn, "is no code")
	if m.Type.In(0) == reflect.TypeFor[sampleStruct]() {
		var inter sampleInterface = sampleStruct{}
		code := ItabCode(*(*unsafe.Pointer)(unsafe.Pointer(&inter)), m.Index)
		c.must(code == f.Entry(), "is not what an interface calls")
	}
}

// kindLayouts are the structs that types of a kind begin with.
var kindLayouts = map[reflect.Kind]reflect.Type{
	reflect.Int16: reflect.TypeFor[Type](), reflect.Array: reflect.TypeFor[ArrayType](), reflect.Chan: reflect.TypeFor[ChanType](),
	reflect.Func: reflect.TypeFor[FuncType](), reflect.Interface: reflect.TypeFor[InterfaceType](), reflect.Map: reflect.TypeFor[MapType](),
	reflect.Pointer: reflect.TypeFor[PtrType](), reflect.Slice: reflect.TypeFor[SliceType](), reflect.Struct: reflect.TypeFor[StructType](),
}

// kindChecks check what the struct of a kind has beyond Type.
var kindChecks = map[reflect.Kind]func(c *checker, t reflect.Type, p unsafe.Pointer){
	reflect.Int16: func(c *checker, t reflect.Type, p unsafe.Pointer) {},
	reflect.Array: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		points[ArrayType](c, p, "Elem", unsafe.Pointer(Of(t.Elem())))
		points[ArrayType](c, p, "Slice", unsafe.Pointer(Of(reflect.SliceOf(t.Elem()))))
		same[ArrayType](c, p, "Len", uintptr(t.Len()))
	},
	reflect.Chan: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		points[ChanType](c, p, "Elem", unsafe.Pointer(Of(t.Elem())))
		same[ChanType](c, p, "Dir", ChanDir(t.ChanDir()))
	},
	reflect.Func: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		same[FuncType](c, p, "InCount", uint16(t.NumIn()))
		same[FuncType](c, p, "OutCount", uint16(t.NumOut())|1<<15)
		parts := unsafe.Add(p, c.size(reflect.TypeFor[FuncType]())+c.size(reflect.TypeFor[UncommonType]()))
		for i, want := range []reflect.Type{t.In(0), t.In(1), t.In(2), t.Out(0)} {
			c.at = "FuncType"
			c.must(*(*uintptr)(unsafe.Add(parts, 8*i)) == uintptr(unsafe.Pointer(Of(want))), "is followed by other types")
		}
	},
	reflect.Interface: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		path := c.decode(follow[InterfaceType](c, p, "PkgPath"))
		c.must(path == packagePath, fmt.Sprintf("reads %.40q", path))
		first, n := c.slice(unsafe.Add(p, c.offset(reflect.TypeFor[InterfaceType](), "Methods")))
		c.must(n == t.NumMethod(), "has another length")
		if t == reflect.TypeFor[sampleForeign]() {
			c.foreign(first, n)
			return
		}
		for i := range n {
			m := unsafe.Add(first, i*c.size(reflect.TypeFor[Imethod]()))
			c.must(c.name(read[NameOff, Imethod](c, m, "Name")) == t.Method(i).Name, "is not "+t.Method(i).Name)
			c.must(c.address(int32(read[TypeOff, Imethod](c, m, "Typ"))) == unsafe.Pointer(Of(t.Method(i).Type)), "is another type")
		}
	},
	reflect.Map: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		points[MapType](c, p, "Key", unsafe.Pointer(Of(t.Key())))
		points[MapType](c, p, "Elem", unsafe.Pointer(Of(t.Elem())))
		group := follow[MapType](c, p, "Group")
		c.must(Kind(reflect.Struct) == (*Type)(group).Kind_, "is no struct")
		same[MapType](c, p, "GroupSize", (*Type)(group).Size_)
		c.must(c.isCode(read[uintptr, MapType](c, p, "Hasher")), "is no function")
		same[MapType](c, p, "Flags", uint32(mapNeedKeyUpdate))
		c.mapSlots(p)
	},
	reflect.Pointer: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		points[PtrType](c, p, "Elem", unsafe.Pointer(Of(t.Elem())))
	},
	reflect.Slice: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		points[SliceType](c, p, "Elem", unsafe.Pointer(Of(t.Elem())))
	},
	reflect.Struct: func(c *checker, t reflect.Type, p unsafe.Pointer) {
		path := c.decode(follow[StructType](c, p, "PkgPath"))
		c.must(path == packagePath, fmt.Sprintf("reads %.40q", path))
		first, n := c.slice(unsafe.Add(p, c.offset(reflect.TypeFor[StructType](), "Fields")))
		c.must(n == t.NumField(), "has another length")
		for i := range n {
			f, at := t.Field(i), unsafe.Add(first, i*c.size(reflect.TypeFor[StructField]()))
			name := (*byte)(follow[StructField](c, at, "Name"))
			c.must(c.decode(unsafe.Pointer(name)) == f.Name, "is not "+f.Name)
			c.flags(*name, f)
			_, tag, _, _ := Name{name}.Decode()
			c.must(tag == string(f.Tag), "has another tag")
			points[StructField](c, at, "Typ", unsafe.Pointer(Of(f.Type)))
			same[StructField](c, at, "Offset", f.Offset)
		}
	},
}

// mapNeedKeyUpdate is the flag of maps whose keys can be equal and differ all
// the same (internal/abi/map.go).
const mapNeedKeyUpdate = 1

// flags checks the first byte of a field's name.
func (c *checker) flags(have byte, f reflect.StructField) {
	want := 0
	if f.IsExported() {
		want |= c.constant("nameExported")
	}
	if f.Tag != "" {
		want |= c.constant("nameTag")
	}
	if f.Anonymous {
		want |= c.constant("nameEmbedded")
	}
	c.must(int(have) == want, "says something else")
}

// foreign checks the name of another package's method, which has that package
// in it.
func (c *checker) foreign(first unsafe.Pointer, n int) {
	for i := range n {
		off := read[NameOff, Imethod](c, unsafe.Add(first, i*c.size(reflect.TypeFor[Imethod]())), "Name")
		name := c.address(int32(off))
		if text := c.decode(name); text == "common" {
			have := int(*(*byte)(name))
			c.must(have == c.constant("namePkgPath"), "says something else")
			path := c.name(*(*NameOff)(unsafe.Add(name, 2+len(text))))
			c.must(path == "reflect", "is not followed by the package")
			return
		}
	}
	c.must(false, "has no method of another package")
}

// slice reads the slice at p.
func (c *checker) slice(p unsafe.Pointer) (first unsafe.Pointer, n int) {
	n = *(*int)(unsafe.Add(p, 8))
	c.must(n >= 0 && n < 100, "is no slice")
	return c.static(*(*uintptr)(p)), n
}
