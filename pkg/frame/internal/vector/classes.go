package vector

import (
	"fmt"
	"math"
)

// Class is a span of values that share a shade.
type Class struct {
	From, To float64
	Label    string
}

// Classes divides the range of values into as many round spans as are wanted, or
// fewer.
func Classes(v []float64, most int) []Class {
	lo, hi := Span(v)
	step := roundWidth((hi - lo) / float64(most))
	for math.Floor(hi/step)-math.Floor(lo/step) >= float64(most) {
		step = roundWidth(step * 1.01)
	}
	var all []Class
	for k := math.Floor(lo / step); k*step <= hi; k++ {
		from, to := k*step, (k+1)*step
		all = append(all, Class{from, to, fmt.Sprintf("%.6g to %.6g", from, to)})
	}
	return all
}

// roundWidth returns the next 1, 2 or 5 times a power of ten.
func roundWidth(w float64) float64 {
	if !(w > 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(w)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= w {
			return m * p
		}
	}
	return 10 * p
}
