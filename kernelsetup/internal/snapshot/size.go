package snapshot

import (
	"reflect"
	"runtime/debug"
	"unsafe"
)

// Size returns how many bytes a variable takes with all it leads to, as far as
// that is plain; more tells that it was not counted to the end: beyond limit,
// or since part of it is not plain.
func Size(v reflect.Value, limit int, shared bool) (n int, more bool) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	if shared && planOf(v.Type()).kind == reflect.Map {
		return int(v.Type().Size()), true
	}
	steps := 0
	w := &walker{opt: Options{Limit: limit, Stop: func() bool { steps++; return steps > 1000 || shared && steps > 10 }},
		seen: map[visit]bool{}, out: found{maps: map[unsafe.Pointer]reflect.Value{}}}
	if shared {
		w.noMaps = true
	}
	err := w.variable(Variable{Value: v})
	return max(w.out.size, int(v.Type().Size())), err != nil
}
