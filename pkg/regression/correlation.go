package regression

import "math"

// ResidualCorrelation returns the correlation of residuals with their
// neighbours, kept within [0, most]. Residuals are taken to have mean 0. The
// fit made them less correlated than the errors by about bias over their
// number, which is given back. Pairs with a NaN do not count; where all are 0
// so is the correlation.
func ResidualCorrelation(residuals []float64, bias, most float64) float64 {
	var num, den, n float64
	previous := math.NaN()
	for _, v := range residuals {
		if !math.IsNaN(v) {
			den += v * v
			n++
			if !math.IsNaN(previous) {
				num += v * previous
			}
		}
		previous = v
	}
	if den == 0 {
		return 0
	}
	return min(max(num/den+bias/n, 0), most)
}
