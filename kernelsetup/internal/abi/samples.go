package abi

import "reflect"

// The types below are laid out by the compiler; Check reads them. One of each
// kind that has a struct of its own, all with an UncommonType behind it: so
// the size of the struct shows, too.
type (
	sampleInt       int16
	sampleArray     [3]uint16
	sampleBig       [1 << 15]*int8 // the mask of its pointers is made on demand
	sampleChan      chan<- int32
	sampleForeign   interface{ reflect.Type } // has methods that are not exported
	sampleFunc      func(int, string, ...bool) error
	sampleInterface interface {
		Alpha(int) string
		Beta()
		gamma() bool
	}
	sampleMap    map[string]sampleArray5
	samplePtr    *int32
	sampleSlice  []int16
	sampleStruct struct {
		A int
		p *int8
		sampleInt
		b, c int
		Q    *string `tag:"x"`
	}

	sampleArray5 [5]int16
)

func (sampleInt) Alpha(int) string   { return "" }
func (sampleArray) Alpha(int) string { return "" }
func (sampleChan) Alpha(int) string  { return "" }
func (sampleFunc) Alpha(int) string  { return "" }
func (sampleMap) Alpha(int) string   { return "" }
func (sampleSlice) Alpha(int) string { return "" }

func (sampleStruct) Alpha(int) string { return "" }
func (sampleStruct) Beta()            {}
func (sampleStruct) gamma() bool      { return false }

// A sample is one of the types, with its pointer type, as only what the
// program uses is laid out.
type sample struct {
	typ, ptr         reflect.Type
	methods, visible uint16
	flags            []string // set
	comparable       bool
}

func sampleOf[T any](methods, visible uint16, comparable bool, flags ...string) sample {
	return sample{reflect.TypeFor[T](), reflect.TypeFor[*T](), methods, visible, flags, comparable}
}

var samples = []sample{
	sampleOf[sampleInt](1, 1, true, "TFlagRegularMemory"),
	sampleOf[sampleArray](1, 1, true, "TFlagRegularMemory"),
	sampleOf[sampleBig](0, 0, true, "TFlagRegularMemory", "TFlagGCMaskOnDemand"),
	sampleOf[sampleChan](1, 1, true, "TFlagRegularMemory", "TFlagDirectIface"),
	sampleOf[sampleForeign](0, 0, true),
	sampleOf[sampleFunc](1, 1, false, "TFlagDirectIface"),
	sampleOf[sampleInterface](0, 0, true),
	sampleOf[sampleMap](1, 1, false, "TFlagDirectIface"),
	sampleOf[samplePtr](0, 0, true, "TFlagRegularMemory", "TFlagDirectIface"),
	sampleOf[sampleSlice](1, 1, false),
	sampleOf[sampleStruct](3, 2, true),
}

// plain are types without a name, by which each flag can be told from the
// others.
var plain = map[reflect.Type][]string{
	reflect.TypeFor[*int8]():      {"TFlagRegularMemory", "TFlagDirectIface"},
	reflect.TypeFor[*sampleInt](): {"TFlagRegularMemory", "TFlagDirectIface", "TFlagUncommon"},
	reflect.TypeFor[[]int8]():     {"TFlagExtraStar"},
}

// bounds are the ways to leave a slice or array, with what the run time calls
// each. x is beyond every bound, y within.
var bounds = []struct {
	code string
	fail func(s []int, a [4]int, x, y int)
}{
	{"BoundsIndex", func(s []int, a [4]int, x, y int) { _ = s[x] }},
	{"BoundsSliceAlen", func(s []int, a [4]int, x, y int) { _ = a[:x] }},
	{"BoundsSliceAcap", func(s []int, a [4]int, x, y int) { _ = s[:x] }},
	{"BoundsSliceB", func(s []int, a [4]int, x, y int) { _ = s[x:y] }},
	{"BoundsSlice3Alen", func(s []int, a [4]int, x, y int) { _ = a[0:y:x] }},
	{"BoundsSlice3Acap", func(s []int, a [4]int, x, y int) { _ = s[0:y:x] }},
	{"BoundsSlice3B", func(s []int, a [4]int, x, y int) { _ = s[0:x:y] }},
	{"BoundsSlice3C", func(s []int, a [4]int, x, y int) { _ = s[x:y:y] }},
	{"BoundsConvert", func(s []int, a [4]int, x, y int) { _ = [4]int(s) }},
}
