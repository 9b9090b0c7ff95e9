//go:build ignore

package weak

import "github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"

type Pointer[T any] struct {
	_ [0]*T
	u any
}

func Make[T any](ptr *T) Pointer[T] { return Pointer[T]{u: native.MakeWeak(ptr)} }

func (p Pointer[T]) Value() *T {
	v, _ := native.WeakValue(p.u).(*T)
	return v
}
