// Package draught says what the speed explains of the air in an engine's bay.
package draught

import "math"

// Columns returns what the speed (m/s, nil if unknown) at times t (s) explains of
// the bay, as columns of a regression: air passes faster when the car moves, and
// the bay follows with a lag.
func Columns(t, speed []float64) [][]float64 {
	if speed == nil {
		return nil
	}
	n := len(t)
	var columns [][]float64
	for _, tau := range []float64{15, 90} {
		fast, rest := make([]float64, n), make([]float64, n)
		var f, r float64
		for i := range n {
			v := speed[i]
			if math.IsNaN(v) {
				v = 0
			}
			x := 1 / (1 + v/5) // near 1 at rest, falls with speed
			if i == 0 {
				f, r = v, x
			} else {
				k := -math.Expm1(-(t[i] - t[i-1]) / tau)
				f += k * (v - f)
				r += k * (x - r)
			}
			fast[i], rest[i] = f, r
		}
		columns = append(columns, fast, rest)
	}
	return columns
}
