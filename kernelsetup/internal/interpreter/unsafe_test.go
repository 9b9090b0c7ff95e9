package interpreter

import (
	"strings"
	"testing"
)

// What package unsafe does in a cell, against what its documentation says
// (https://pkg.go.dev/unsafe and the language specification, "Package unsafe").
func TestUnsafe(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("fmt"; "unsafe"; "math"; "runtime"; "reflect")
type row struct { a byte; b int32; c string; d [3]uint16 }
func asString(b []byte) string { return *(*string)(unsafe.Pointer(&b)) }
func bits(f float64) uint64 { return *(*uint64)(unsafe.Pointer(&f)) }
func size[T any]() uintptr { var v T; return unsafe.Sizeof(v) }
type header struct { data unsafe.Pointer; len, cap int }`)
	for _, c := range []struct{ src, want string }{
		{"fmt.Sprint(unsafe.Sizeof(row{}), unsafe.Offsetof(row{}.c), unsafe.Alignof(row{}.b))", "32 8 4"},
		{"fmt.Sprint(size[row](), size[byte](), size[string](), size[[5]int32]())", "32 1 16 20"},
		{`asString([]byte("hello"))`, "hello"},
		{"fmt.Sprint(bits(1.5) == math.Float64bits(1.5))", "true"},
		{"xs := []int{1, 2, 3}\nfmt.Sprint(*(*int)(unsafe.Add(unsafe.Pointer(&xs[0]), 2*unsafe.Sizeof(xs[0]))))", "3"},
		{"fmt.Sprint(unsafe.Slice(&xs[1], 2), unsafe.SliceData(xs) == &xs[0])", "[2 3] true"},
		{"fmt.Sprint(cap(unsafe.Slice(&xs[0], uint8(2))))", "2"},
		{"s := \"wheel\"\nunsafe.String(unsafe.StringData(s), 3)", "whe"},
		{"func() string { r := row{b: 7}; *(*int32)(unsafe.Add(unsafe.Pointer(&r), unsafe.Offsetof(r.b))) += 2; return fmt.Sprint(r.b) }()", "9"},
		{"h := (*header)(unsafe.Pointer(&xs))\nfmt.Sprint(h.len, h.cap, h.data == unsafe.Pointer(&xs[0]))", "3 3 true"},
		{"fmt.Sprint(uintptr(unsafe.Pointer(&xs[1])) - uintptr(unsafe.Pointer(&xs[0])))", "8"},
		{"var none *byte\nfmt.Sprint(unsafe.Slice(none, 0) == nil, unsafe.Pointer(none) == nil)", "true true"},
		// The patterns by which a number may become a pointer.
		{"func() int { i := 2; return *(*int)(unsafe.Pointer(uintptr(unsafe.Pointer(&xs[0])) + uintptr(i)*unsafe.Sizeof(xs[0]))) }()", "3"},
		{"*(*int)(unsafe.Pointer(reflect.ValueOf(&xs[1]).Pointer()))", "2"},
		{"func() string { b := []byte(\"abc\"); h := (*reflect.SliceHeader)(unsafe.Pointer(&b)); return string(*(*byte)(unsafe.Pointer(h.Data))) }()", "a"},
		{"fmt.Sprint(unsafe.Pointer(uintptr(0x234)))", "0x234"},
		{"type pair[T any] struct { a T; pairOf[T]; c T }\ntype pairOf[T any] struct { x byte; b T }\n" +
			"func offsets[T any](p *pair[T]) string { return fmt.Sprint(unsafe.Offsetof(p.b), unsafe.Offsetof(p.pairOf.b), unsafe.Offsetof(p.c)) }\noffsets(new(pair[int32]))", "8 4 12"},
		// The memory stays while only an unsafe.Pointer knows it.
		{"p := func() unsafe.Pointer { b := make([]int, 1000); b[7] = 42; return unsafe.Pointer(&b[7]) }()\nfor range 3 { runtime.GC(); _ = make([]int, 1000) }\n*(*int)(p)", "42"},
	} {
		if got := nb.value(c.src); got != c.want {
			t.Errorf("%s is %s, want %s", c.src, got, c.want)
		}
	}
	for _, c := range []struct{ src, want string }{
		{"n := -1\nunsafe.Slice(&xs[0], n)", "runtime error: unsafe.Slice: len out of range"},
		{"unsafe.Slice(none, 3)", "runtime error: unsafe.Slice: ptr is nil and len is not zero"},
		{"unsafe.String(none, 3)", "runtime error: unsafe.String: ptr is nil and len is not zero"},
		{"*(*int)(unsafe.Pointer(uintptr(0x123456789000)))", "runtime error: invalid memory address"},
		{"u := uintptr(unsafe.Pointer(&xs[0]))\nunsafe.Pointer(u + 8)", "a number cannot be made an unsafe.Pointer in a cell"},
	} {
		if r := nb.run(c.src, 0); r.Err == nil || !strings.Contains(r.Err.Error(), c.want) {
			t.Errorf("%s: %v", c.src, r.Err)
		}
	}
}
