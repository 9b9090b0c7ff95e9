package series

import "math"

// Smooth returns s with each value replaced by the local straight line fitted
// over the present values within width/2 seconds on either side (a moving
// average that is not biased by a slope or by uneven times). It does not look
// across a gap longer than limit seconds. Missing values stay missing.
func (s *Series) Smooth(width, limit float64) *Series {
	v, _ := s.localLine(width, limit)
	return s.With(s.Name, s.Dimension, v)
}

// Slope returns the derivative of s per second as the slope of the same local
// line that [Series.Smooth] fits. It is missing where fewer than two values
// lie in the window. The dimension is left dimensionless per second; name it
// with [Series.With] where one fits.
func (s *Series) Slope(width, limit float64) *Series {
	_, d := s.localLine(width, limit)
	return s.With(s.Name+" slope", Dimensionless, d)
}

// localLine fits a straight line around every sample. The sums are updated as
// the window moves and are taken about a moving origin, so that they keep
// their digits over long series; cost is linear.
func (s *Series) localLine(width, limit float64) (value, slope []float64) {
	n := s.Len()
	value, slope = make([]float64, n), make([]float64, n)
	for i := range value {
		value[i], slope[i] = math.NaN(), math.NaN()
	}
	for _, run := range s.Runs(limit) {
		lo, hi := s.index(run)
		s.localLineRun(lo, hi, width/2, value, slope)
	}
	return value, slope
}

func (s *Series) localLineRun(lo, hi int, half float64, value, slope []float64) {
	const refresh = 1 << 12 // new sums now and then, against rounding
	var sum lineSums
	a, b := lo, lo
	for i := lo; i < hi; i++ {
		t := s.Time[i]
		if (i-lo)%refresh == 0 {
			sum = lineSums{t0: t, v0: firstPresent(s.Value[i:hi])}
			for a < i && s.Time[a] < t-half {
				a++
			}
			for b = a; b < hi && s.Time[b] <= t+half; b++ {
				sum.add(s.Time[b], s.Value[b], +1)
			}
		}
		for b < hi && s.Time[b] <= t+half {
			sum.add(s.Time[b], s.Value[b], +1)
			b++
		}
		for s.Time[a] < t-half {
			sum.add(s.Time[a], s.Value[a], -1)
			a++
		}
		if !math.IsNaN(s.Value[i]) {
			value[i], slope[i] = sum.line(t, s.Value[i])
		}
	}
}

func firstPresent(v []float64) float64 {
	for _, x := range v {
		if !math.IsNaN(x) {
			return x
		}
	}
	return 0
}

// lineSums are the running sums of a straight-line fit about (t0, v0).
type lineSums struct{ t0, v0, n, t, v, tt, tv float64 }

func (s *lineSums) add(t, v, sign float64) {
	if math.IsNaN(v) {
		return
	}
	t, v = t-s.t0, v-s.v0
	s.n += sign
	s.t += sign * t
	s.v += sign * v
	s.tt += sign * t * t
	s.tv += sign * t * v
}

// line returns the fitted value and slope at t; own is the sample there,
// returned where there is nothing to fit.
func (s *lineSums) line(t, own float64) (value, slope float64) {
	det := s.n*s.tt - s.t*s.t
	if s.n < 1.5 || det <= 1e-12*s.n*s.tt {
		return own, math.NaN()
	}
	slope = (s.n*s.tv - s.t*s.v) / det
	return s.v0 + s.v/s.n + slope*(t-s.t0-s.t/s.n), slope
}
