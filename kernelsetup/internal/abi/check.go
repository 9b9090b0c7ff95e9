package abi

import (
	"fmt"
	"reflect"
	"runtime"
	"runtime/debug"
	"strings"
	"unsafe"
)

// Check compares, in the running program, every word of the layouts with what
// the compiler wrote for types of this package and with what reflect says of
// them. It names the first that differs. It takes a tenth of a millisecond,
// writes nothing and needs no word to be right before another is read.
func Check() error { return checkWith(nil) }

// checkWith checks with some offsets, sizes or constants moved, so that a test
// can see each of them missed. Keys are "MapType.Group", "MapType" for the
// size of the whole and "TFlagNamed" for a constant.
func checkWith(moved map[string]int) (err error) {
	// A wrong offset may be read as a pointer and followed.
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	c := &checker{moved: moved}
	c.base.of, c.base.at = "interface {}", unsafe.Pointer(Of(samples[0].ptr))
	defer func() {
		switch p := recover().(type) {
		case nil:
		case mismatch:
			err = fmt.Errorf("%s was built for Go %s, whose types lie in memory otherwise: %s", runtime.Version(), Release, string(p))
		default:
			err = fmt.Errorf("%s was built for Go %s, whose types lie in memory otherwise: %s: %v", runtime.Version(), Release, c.at, p)
		}
	}()
	c.words()
	c.types()
	c.errors()
	return nil
}

// A mismatch says which word is not where it should be.
type mismatch string

// A checker reads memory by the layouts of this package.
type checker struct {
	moved map[string]int
	at    string // the word that is read, in case that faults
	base  anchor
}

// layouts are the structs that lie in memory as Go's own, by their names.
var layouts = []reflect.Type{
	reflect.TypeFor[Type](), reflect.TypeFor[UncommonType](), reflect.TypeFor[Method](), reflect.TypeFor[Imethod](), reflect.TypeFor[StructField](),
	reflect.TypeFor[ArrayType](), reflect.TypeFor[ChanType](), reflect.TypeFor[FuncType](), reflect.TypeFor[InterfaceType](),
	reflect.TypeFor[MapType](), reflect.TypeFor[PtrType](), reflect.TypeFor[SliceType](), reflect.TypeFor[StructType](),
	reflect.TypeFor[ITab](), reflect.TypeFor[Words](), reflect.TypeFor[Slice](), reflect.TypeFor[Closure](), reflect.TypeFor[TypeAssertionError](),
}

// constants are the numbers that have a meaning in memory.
var constants = map[string]int{
	"TFlagUncommon": int(TFlagUncommon), "TFlagExtraStar": int(TFlagExtraStar), "TFlagNamed": int(TFlagNamed),
	"TFlagRegularMemory": int(TFlagRegularMemory), "TFlagGCMaskOnDemand": int(TFlagGCMaskOnDemand), "TFlagDirectIface": int(TFlagDirectIface),
	"nameExported": nameExported, "nameTag": nameTag, "nameEmbedded": nameEmbedded, "namePkgPath": namePkgPath,
	"BoundsIndex": int(BoundsIndex), "BoundsSliceAlen": int(BoundsSliceAlen), "BoundsSliceAcap": int(BoundsSliceAcap), "BoundsSliceB": int(BoundsSliceB),
	"BoundsSlice3Alen": int(BoundsSlice3Alen), "BoundsSlice3Acap": int(BoundsSlice3Acap), "BoundsSlice3B": int(BoundsSlice3B), "BoundsSlice3C": int(BoundsSlice3C), "BoundsConvert": int(BoundsConvert),
}

func (c *checker) constant(name string) int {
	c.at = name
	return constants[name] + c.moved[name]
}

// size is how much memory a layout takes.
func (c *checker) size(layout reflect.Type) int {
	return int(layout.Size()) + c.moved[layout.Name()]
}

// offset is where a field of a layout begins.
func (c *checker) offset(layout reflect.Type, field string) int {
	c.at = layout.Name() + "." + field
	for i := range layout.NumField() {
		if f := layout.Field(i); f.Name == field {
			return int(f.Offset) + c.moved[c.at]
		}
	}
	panic(mismatch("there is no " + c.at))
}

// read reads a field at p, where a layout L begins.
func read[T, L any](c *checker, p unsafe.Pointer, field string) T {
	return *(*T)(unsafe.Add(p, c.offset(reflect.TypeFor[L](), field)))
}

// same reads a field and compares it.
func same[L any, T comparable](c *checker, p unsafe.Pointer, field string, want T) {
	if have := read[T, L](c, p, field); have != want {
		panic(mismatch(fmt.Sprintf("%s of %s is %v, want %v", c.at, c.base.of, any(have), any(want))))
	}
}

// points reads a field that is a pointer and compares it. A wrong one is never
// a pointer to the compiler, which the garbage collector would follow.
func points[L any](c *checker, p unsafe.Pointer, field string, want unsafe.Pointer) {
	same[L](c, p, field, uintptr(want))
}

// follow reads a pointer field that must lead to something in the program's
// own read-only data.
func follow[L any](c *checker, p unsafe.Pointer, field string) unsafe.Pointer {
	return c.static(read[uintptr, L](c, p, field))
}

// static makes a pointer of an address in the program.
func (c *checker) static(address uintptr) unsafe.Pointer {
	d := int(address) - int(uintptr(c.base.at))
	c.must(address > 1<<16 && d > -1<<28 && d < 1<<28, "leads out of the program")
	return unsafe.Add(c.base.at, d)
}

// must panics with what is read, unless ok.
func (c *checker) must(ok bool, what string) {
	if !ok {
		panic(mismatch(fmt.Sprintf("%s of %s: %s", c.at, c.base.of, what)))
	}
}

// isCode reports whether a func value's word points to code.
func (c *checker) isCode(fv uintptr) bool {
	return runtime.FuncForPC(*(*uintptr)(c.static(fv))) != nil
}

var array [5]int

// words checks interfaces, slices and func values.
func (c *checker) words() {
	x := &array[0] // not on the stack, which moves
	var boxed any = x
	points[Words](c, unsafe.Pointer(&boxed), "Type", unsafe.Pointer(Of(reflect.TypeFor[*int]())))
	points[Words](c, unsafe.Pointer(&boxed), "Data", unsafe.Pointer(x))
	t := reflect.TypeFor[int]()
	c.must(reflect.TypeOf(Any(unsafe.Pointer(Of(t)), unsafe.Pointer(x))) == t, "reflect finds another type")

	c.base.of = "[]int"
	s := array[0:2:5]
	points[Slice](c, unsafe.Pointer(&s), "Data", unsafe.Pointer(x))
	same[Slice](c, unsafe.Pointer(&s), "Len", 2)
	same[Slice](c, unsafe.Pointer(&s), "Cap", 5)
	c.at = "Slice"
	c.must(c.size(reflect.TypeFor[Slice]()) == int(unsafe.Sizeof(s)), "has another size")
	c.at = "Words"
	c.must(c.size(reflect.TypeFor[Words]()) == int(unsafe.Sizeof(boxed)), "has another size")

	c.base.of = "func"
	f := reflect.ValueOf(Check)
	same[Closure](c, FuncPointer(f), "Code", f.Pointer())

	c.base.of = "sampleInterface"
	var inter sampleInterface = sampleStruct{}
	tab := *(*unsafe.Pointer)(unsafe.Pointer(&inter))
	dynamic := Of(reflect.TypeFor[sampleStruct]())
	points[ITab](c, tab, "Inter", unsafe.Pointer(Of(reflect.TypeFor[sampleInterface]())))
	points[ITab](c, tab, "Type", unsafe.Pointer(dynamic))
	same[ITab](c, tab, "Hash", read[uint32, Type](c, unsafe.Pointer(dynamic), "Hash"))
	c.must(read[uint32, Type](c, unsafe.Pointer(dynamic), "Hash") != 0, "is 0")
	for i, name := range []string{".Alpha", ".Beta"} {
		code := *(*uintptr)(unsafe.Add(tab, c.offset(reflect.TypeFor[ITab](), "Fun")+8*i))
		f := runtime.FuncForPC(code)
		c.must(f != nil && f.Entry() == code && strings.HasSuffix(f.Name(), name), "is not the code of "+name)
	}
}

// errors checks the errors of the run time that are made by hand.
func (c *checker) errors() {
	have, want := reflect.TypeFor[TypeAssertionError](), reflect.TypeFor[runtime.TypeAssertionError]()
	c.at, c.base.of = have.Name(), want.String()
	c.must(want.NumField() == have.NumField() && int(want.Size()) == c.size(have), "has another size")
	for i := range want.NumField() {
		w, h := want.Field(i), have.Field(i)
		off := c.offset(have, h.Name)
		c.must(int(w.Offset) == off && w.Type.Kind() == h.Type.Kind(), "the run time has "+w.Name+" there")
	}
	for _, b := range bounds {
		reason := reflect.ValueOf(func() (p any) {
			defer func() { p = recover() }()
			b.fail(make([]int, 2, 4), [4]int{}, 5, 3)
			return nil
		}())
		code := c.constant(b.code)
		c.base.of = "a bounds error"
		c.must(reason.IsValid() && reason.Kind() == reflect.Struct, "is no struct")
		f := reason.FieldByName("code")
		c.must(f.IsValid() && f.Kind() == reflect.Uint8, "has no code")
		c.must(int(f.Uint()) == code, "has another code")
		for field, kind := range map[string]reflect.Kind{"x": reflect.Int64, "y": reflect.Int, "signed": reflect.Bool} {
			f := reason.FieldByName(field)
			c.must(f.IsValid() && f.Kind() == kind, "has no field "+field)
		}
	}
}
