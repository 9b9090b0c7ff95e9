package series

import (
	"math"
	"slices"
)

// Mean returns the mean of the present values in v weighted by time: each
// value counts for half the way to its present neighbours within v, so that
// uneven sampling does not bias it. Neighbours further than limit seconds
// apart do not stretch their weight over the gap. NaN if no value is present.
func (s *Series) Mean(v Interval, limit float64) float64 {
	lo, hi := s.index(v)
	var sum, weight, lastT, lastV float64
	n := 0
	for i := lo; i < hi; i++ {
		x := s.Value[i]
		if math.IsNaN(x) {
			continue
		}
		t := s.Time[i]
		if n > 0 && t-lastT <= limit {
			w := t - lastT
			sum += w * (x + lastV) / 2
			weight += w
		}
		lastT, lastV = t, x
		n++
	}
	if weight == 0 {
		return s.plainMean(lo, hi)
	}
	return sum / weight
}

func (s *Series) plainMean(lo, hi int) float64 {
	sum, n := 0.0, 0
	for _, x := range s.Value[lo:hi] {
		if !math.IsNaN(x) {
			sum += x
			n++
		}
	}
	return sum / float64(n) // 0/0 is NaN: no value is present
}

// Median returns the median of the present values in v, NaN if there is none.
func (s *Series) Median(v Interval) float64 {
	return medianInPlace(s.present(v))
}

// Quantile returns the [Quantile] of the present values in v.
func (s *Series) Quantile(v Interval, q float64) float64 { return Quantile(s.present(v), q) }

// Quantile returns the q-quantile (0 ≤ q ≤ 1) of values by linear interpolation
// of the order statistics (Hyndman & Fan 1996, type 7); NaN if there is none, or
// for another q. It sorts x, which holds no NaN.
func Quantile(x []float64, q float64) float64 {
	if len(x) == 0 || !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	slices.Sort(x)
	h := q * float64(len(x)-1)
	i := int(h)
	if i == len(x)-1 {
		return x[i]
	}
	return x[i] + (h-float64(i))*(x[i+1]-x[i])
}

// MinMax returns the smallest and largest present value in v; NaN, NaN if
// there is none.
func (s *Series) MinMax(v Interval) (lo, hi float64) {
	x := s.present(v)
	if len(x) == 0 {
		return math.NaN(), math.NaN()
	}
	return slices.Min(x), slices.Max(x)
}

// present returns a copy of the values in v that are not missing.
func (s *Series) present(v Interval) []float64 {
	lo, hi := s.index(v)
	x := make([]float64, 0, hi-lo)
	for _, y := range s.Value[lo:hi] {
		if !math.IsNaN(y) {
			x = append(x, y)
		}
	}
	return x
}

func medianInPlace(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	m := len(x) / 2
	if len(x)%2 == 1 {
		return x[m]
	}
	return (x[m-1] + x[m]) / 2
}
