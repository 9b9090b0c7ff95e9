//go:build ignore

package unique

import "sync"

// table maps each value to the pointer of its handle. Values of different
// types differ as keys.
var table sync.Map

type Handle[T comparable] struct {
	value *T
}

func (h Handle[T]) Value() T { return *h.value }

func Make[T comparable](value T) Handle[T] {
	p := new(T)
	*p = value
	kept, _ := table.LoadOrStore(any(value), p)
	return Handle[T]{kept.(*T)}
}
