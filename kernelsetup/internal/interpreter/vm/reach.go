package vm

import (
	"reflect"
	"slices"
	"strings"
	"sync"
)

// reach tells of which types values may lead to something, by pointers and in
// other values. What an interface holds may be anything.
type reach struct {
	wanted []reflect.Kind
	known  sync.Map // reflect.Type -> bool
}

var (
	toMaps = &reach{wanted: []reflect.Kind{reflect.Map, reflect.Interface}}
	toCode = &reach{wanted: []reflect.Kind{reflect.Func, reflect.Interface}}
)

// kernelPackages begin so. A slider of a cell leads to the kernel, by the
// channel to its front end, and the kernel to all there is, which its own
// goroutines change. That is not the cells'.
var kernelPackages = strings.TrimSuffix(reflect.TypeFor[Machine]().PkgPath(), "internal/interpreter/vm")

// from reports whether values of a type may lead there.
func (r *reach) from(t reflect.Type) bool {
	if slices.Contains(r.wanted, t.Kind()) {
		return true
	}
	switch t.Kind() {
	case reflect.Map, reflect.Slice, reflect.Array, reflect.Struct, reflect.Pointer:
	default:
		return false
	}
	if is, ok := r.known.Load(t); ok {
		return is.(bool)
	}
	is := r.leads(t, map[reflect.Type]bool{})
	r.known.Store(t, is)
	return is
}

func (r *reach) leads(t reflect.Type, open map[reflect.Type]bool) bool {
	if open[t] || strings.HasPrefix(t.PkgPath(), kernelPackages) {
		return false
	}
	open[t] = true
	if slices.Contains(r.wanted, t.Kind()) {
		return true
	}
	switch t.Kind() {
	case reflect.Map:
		return r.leads(t.Key(), open) || r.leads(t.Elem(), open)
	case reflect.Slice, reflect.Array, reflect.Pointer:
		return r.leads(t.Elem(), open)
	case reflect.Struct:
		for i := range t.NumField() {
			if r.leads(t.Field(i).Type, open) {
				return true
			}
		}
	}
	return false
}
