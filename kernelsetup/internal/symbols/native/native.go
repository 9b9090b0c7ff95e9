// Package native holds compiled helpers for the few generic declarations of
// the standard library that rest on the runtime: a generic body executed by
// the interpreter cannot name the types of cells to compiled code, so it hands
// them over as any. Its API names no type of a package that is itself checked
// from source.
package native

import (
	"crypto/hkdf"
	"crypto/pbkdf2"
	_ "database/sql" // for linkname
	"hash"
	"hash/maphash"
	"reflect"
	"runtime"
	"slices"
	"unsafe"
	"weak"
)

// Overlaps reports whether two slices of the same type share memory.
func Overlaps(a, b any) bool {
	x, y := reflect.ValueOf(a), reflect.ValueOf(b)
	size := x.Type().Elem().Size()
	if x.Len() == 0 || y.Len() == 0 || size == 0 {
		return false
	}
	x0, y0 := x.Pointer(), y.Pointer()
	return x0 < y0+uintptr(y.Len())*size && y0 < x0+uintptr(x.Len())*size
}

// HashComparable is maphash.Comparable; seed is a *maphash.Seed.
func HashComparable(seed, v any) uint64 { return maphash.Comparable(*seed.(*maphash.Seed), v) }

// WriteComparable is maphash.WriteComparable; h is a *maphash.Hash.
func WriteComparable(h, v any) { maphash.WriteComparable(h.(*maphash.Hash), v) }

// HKDFExtract is hkdf.Extract.
func HKDFExtract(h func() hash.Hash, secret, salt []byte) ([]byte, error) {
	return hkdf.Extract(h, secret, salt)
}

// HKDFExpand is hkdf.Expand.
func HKDFExpand(h func() hash.Hash, key []byte, info string, length int) ([]byte, error) {
	return hkdf.Expand(h, key, info, length)
}

// HKDFKey is hkdf.Key.
func HKDFKey(h func() hash.Hash, secret, salt []byte, info string, length int) ([]byte, error) {
	return hkdf.Key(h, secret, salt, info, length)
}

// PBKDF2Key is pbkdf2.Key.
func PBKDF2Key(h func() hash.Hash, password string, salt []byte, iter, length int) ([]byte, error) {
	return pbkdf2.Key(h, password, salt, iter, length)
}

// AddCleanup is runtime.AddCleanup for a pointer of any type; cleanup must
// not hold the pointer.
func AddCleanup(pointer any, cleanup func()) any {
	p := (*byte)(reflect.ValueOf(pointer).UnsafePointer())
	return runtime.AddCleanup(p, func(f func()) { f() }, cleanup)
}

// ConvertAssign stores a database's value in *dest, as Rows.Scan does. Package
// sql keeps it linkable for the packages that always have.
//
//go:linkname ConvertAssign database/sql.convertAssign
func ConvertAssign(dest, src any) error

type weakPointer struct {
	kind    reflect.Type
	pointer weak.Pointer[byte]
}

// MakeWeak returns a weak pointer for a pointer of any type, nil for a nil
// pointer. Two made from the same pointer are equal.
func MakeWeak(pointer any) any {
	v := reflect.ValueOf(pointer)
	if v.IsNil() {
		return nil
	}
	return weakPointer{kind: v.Type(), pointer: weak.Make((*byte)(v.UnsafePointer()))}
}

// WeakValue returns the pointer that MakeWeak was given, nil once its value
// is gone.
func WeakValue(made any) any {
	w, ok := made.(weakPointer)
	if !ok {
		return nil
	}
	p := w.pointer.Value()
	if p == nil {
		return nil
	}
	return reflect.NewAt(w.kind.Elem(), unsafe.Pointer(p)).Interface()
}

// SortFloat64s is slices.Sort for numbers.
func SortFloat64s(x []float64) { slices.Sort(x) }

// SortInts is slices.Sort for whole numbers.
func SortInts(x []int) { slices.Sort(x) }

// SortStrings is slices.Sort for texts.
func SortStrings(x []string) { slices.Sort(x) }
