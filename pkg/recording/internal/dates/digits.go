package dates

import "math"

// Digits reports whether all numbers may be dates such as 20250124 or, unless the
// century must be there, 240125.
func Digits(values []float64, century bool) bool {
	for _, v := range values {
		if century && (v < 19700101 || math.Mod(v, 1e4) < 101 || math.Mod(v, 1e4) > 1231) {
			return false
		}
		if (v < 19700101 || v > 22001231) && (v < 10100 || v > 999999) {
			return false
		}
	}
	return len(values) > 0
}
