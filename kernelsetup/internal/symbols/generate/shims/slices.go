//go:build ignore

package slices

import (
	"cmp"
	"math/bits"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"
)

func overlaps[E any](a, b []E) bool {
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	return native.Overlaps(a, b)
}

// Sort has a compiled body for the common element types: the algorithm is
// the same one.
func Sort[S ~[]E, E cmp.Ordered](x S) {
	switch y := any([]E(x)).(type) {
	case []float64:
		native.SortFloat64s(y)
	case []int:
		native.SortInts(y)
	case []string:
		native.SortStrings(y)
	default:
		n := len(x)
		pdqsortOrdered(x, 0, n, bits.Len(uint(n)))
	}
}
