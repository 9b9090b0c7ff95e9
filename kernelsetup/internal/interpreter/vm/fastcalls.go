package vm

import (
	"reflect"
	"unsafe"
)

// fastCall returns a direct call for signatures that numerical code is full
// of, nil for others. Results and parameters are where sigLayout puts them:
// the result's slot first.
func fastCall(f reflect.Value) ext {
	switch f := f.Interface().(type) {
	case func(float64) float64:
		return func(t *Thread, s, p unsafe.Pointer) { *sf(s, 0) = f(*sf(s, 8)) }
	case func(float64, float64) float64:
		return func(t *Thread, s, p unsafe.Pointer) { *sf(s, 0) = f(*sf(s, 8), *sf(s, 16)) }
	case func(float64, float64, float64) float64:
		return func(t *Thread, s, p unsafe.Pointer) { *sf(s, 0) = f(*sf(s, 8), *sf(s, 16), *sf(s, 24)) }
	case func() float64:
		return func(t *Thread, s, p unsafe.Pointer) { *sf(s, 0) = f() }
	case func(float64) bool:
		return func(t *Thread, s, p unsafe.Pointer) { *su(s, 0) = b2u(f(*sf(s, 8))) }
	case func(int) int:
		return func(t *Thread, s, p unsafe.Pointer) { *si(s, 0) = int64(f(int(*si(s, 8)))) }
	case func() int:
		return func(t *Thread, s, p unsafe.Pointer) { *si(s, 0) = int64(f()) }
	case func(string) string:
		return func(t *Thread, s, p unsafe.Pointer) {
			r := f(makeString(*pp(p, 8), *su(s, 8)))
			*pp(p, 0), *su(s, 0) = unsafe.Pointer(unsafe.StringData(r)), uint64(len(r))
		}
	case func(string, string) bool:
		return func(t *Thread, s, p unsafe.Pointer) {
			*su(s, 0) = b2u(f(makeString(*pp(p, 0), *su(s, 8)), makeString(*pp(p, 8), *su(s, 16))))
		}
	case func(string, string) int:
		return func(t *Thread, s, p unsafe.Pointer) {
			*si(s, 0) = int64(f(makeString(*pp(p, 0), *su(s, 8)), makeString(*pp(p, 8), *su(s, 16))))
		}
	}
	return nil
}
