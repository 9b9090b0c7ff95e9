// Package sample is a collection of functions that use every operation of the
// machine, on every type, with the values at which something could go wrong.
// The machine's tests run it twice, compiled and interpreted, and compare what
// came out: so compiled Go says what is right. It imports nothing, because the
// interpreted side has only this package.
package sample

// A Result is all that one case came to.
type Result struct {
	Name     string
	Ints     []uint64
	Floats   []float64
	Floats32 []float32
	Texts    []string
}

// Results has one Result for each case, after Main.
var Results []*Result

// Main runs all cases.
func Main() {
	Results = nil
	for _, c := range cases {
		r := &Result{Name: c.name}
		Results = append(Results, r)
		r.try(func() { c.run(r) })
	}
}

type sampleCase struct {
	name string
	run  func(*Result)
}

var cases = []sampleCase{
	{"int", func(r *Result) { signedInts(r, edges[int]()) }},
	{"int8", func(r *Result) { signedInts(r, edges[int8]()) }},
	{"int16", func(r *Result) { signedInts(r, edges[int16]()) }},
	{"int32", func(r *Result) { signedInts(r, edges[int32]()) }},
	{"int64", func(r *Result) { signedInts(r, edges[int64]()) }},
	{"uint", func(r *Result) { unsignedInts(r, edges[uint]()) }},
	{"uint8", func(r *Result) { unsignedInts(r, edges[uint8]()) }},
	{"uint16", func(r *Result) { unsignedInts(r, edges[uint16]()) }},
	{"uint32", func(r *Result) { unsignedInts(r, edges[uint32]()) }},
	{"uint64", func(r *Result) { unsignedInts(r, edges[uint64]()) }},
	{"uintptr", func(r *Result) { unsignedInts(r, edges[uintptr]()) }},
	{"large constants", largeConstants},
	{"float64", func(r *Result) { floats(r, edgeFloats()) }},
	{"float32", func(r *Result) { floats32(r, edgeFloats()) }},
	{"complex128", complexNumbers},
	{"bool", bools},
	{"strings", stringsCase},
	{"pointers", pointers},
	{"memory of int8", func(r *Result) { memory(r, edges[int8]()) }},
	{"memory of uint8", func(r *Result) { memory(r, edges[uint8]()) }},
	{"memory of int16", func(r *Result) { memory(r, edges[int16]()) }},
	{"memory of uint16", func(r *Result) { memory(r, edges[uint16]()) }},
	{"memory of int32", func(r *Result) { memory(r, edges[int32]()) }},
	{"memory of uint32", func(r *Result) { memory(r, edges[uint32]()) }},
	{"memory of int64", func(r *Result) { memory(r, edges[int64]()) }},
	{"memory of uint64", func(r *Result) { memory(r, edges[uint64]()) }},
	{"structs", structs},
	{"boxes", boxes},
	{"globals", globals},
	{"nil", nilPointers},
	{"indexes of int", func(r *Result) { indexes(r, edges[int]()) }},
	{"indexes of int8", func(r *Result) { indexes(r, edges[int8]()) }},
	{"indexes of uint8", func(r *Result) { indexes(r, edges[uint8]()) }},
	{"indexes of uint32", func(r *Result) { indexes(r, edges[uint32]()) }},
	{"indexes of uint64", func(r *Result) { indexes(r, edges[uint64]()) }},
	{"large elements", largeElements},
	{"calls", calls},
	{"defer", deferring},
}

func (r *Result) int(x uint64)      { r.Ints = append(r.Ints, x) }
func (r *Result) float(x float64)   { r.Floats = append(r.Floats, x) }
func (r *Result) float32(x float32) { r.Floats32 = append(r.Floats32, x) }
func (r *Result) text(x string)     { r.Texts = append(r.Texts, x) }

func (r *Result) bool(b bool) {
	if b {
		r.int(1)
		return
	}
	r.int(0)
}

// try calls f and keeps the text of its panic.
func (r *Result) try(f func()) {
	defer func() {
		switch e := recover().(type) {
		case nil:
		case error:
			r.text(e.Error())
		case string:
			r.text(e)
		}
	}()
	f()
}
