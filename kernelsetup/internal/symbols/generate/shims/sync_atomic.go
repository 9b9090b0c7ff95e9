//go:build ignore

package atomic

// Pointer keeps its pointer in a Value: the interpreter's pointers are Go
// pointers, so that swapping them stays atomic.
type Pointer[T any] struct {
	_ [0]*T
	v Value
}

func (x *Pointer[T]) Load() *T {
	p, _ := x.v.Load().(*T)
	return p
}

func (x *Pointer[T]) Store(val *T) { x.v.Store(val) }

func (x *Pointer[T]) Swap(new *T) (old *T) {
	old, _ = x.v.Swap(new).(*T)
	return old
}

func (x *Pointer[T]) CompareAndSwap(old, new *T) (swapped bool) {
	if x.v.Load() == nil {
		if old != nil {
			return false
		}
		if x.v.CompareAndSwap(nil, new) {
			return true
		}
	}
	return x.v.CompareAndSwap(old, new)
}
