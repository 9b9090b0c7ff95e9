//go:build ignore

package runtime

import "github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"

func AddCleanup[T, S any](ptr *T, cleanup func(S), arg S) Cleanup {
	if ptr == nil {
		panic("runtime.AddCleanup: ptr is nil")
	}
	if p, ok := any(arg).(*T); ok && p == ptr {
		panic("runtime.AddCleanup: ptr is equal to arg, cleanup will never run")
	}
	return native.AddCleanup(ptr, func() { cleanup(arg) }).(Cleanup)
}
