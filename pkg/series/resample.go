package series

import (
	"fmt"
	"math"
	"sort"
)

// Lookup returns the value at time t by linear interpolation between the
// present neighbours. It is NaN outside the series and between neighbours
// more than limit seconds apart.
func (s *Series) Lookup(t, limit float64) float64 {
	i := sort.SearchFloat64s(s.Time, t)
	hi := i
	for hi < len(s.Time) && math.IsNaN(s.Value[hi]) {
		hi++
	}
	if hi < len(s.Time) && s.Time[hi] == t {
		return s.Value[hi]
	}
	lo := i - 1
	for lo >= 0 && math.IsNaN(s.Value[lo]) {
		lo--
	}
	if lo < 0 || hi == len(s.Time) {
		return math.NaN()
	}
	return between(s.Time[lo], s.Value[lo], s.Time[hi], s.Value[hi], t, limit)
}

func between(t0, v0, t1, v1, t, limit float64) float64 {
	if t1-t0 > limit {
		return math.NaN()
	}
	return v0 + (t-t0)/(t1-t0)*(v1-v0)
}

// Grid returns times from v.From in steps of step seconds, up to but not
// including v.To. It panics on a step that is not positive, a programmer's
// mistake.
func Grid(v Interval, step float64) []float64 {
	if !(step > 0) {
		panic(misuse(fmt.Sprintf("series.Grid: step %v s is not positive", step)))
	}
	n := int(math.Ceil(v.Duration() / step))
	t := make([]float64, 0, n)
	for i := 0; ; i++ {
		x := v.From + float64(i)*step
		if x >= v.To {
			return t
		}
		t = append(t, x)
	}
}

// Resample returns s at the given ascending times, interpolated linearly.
// Values outside s, or between present neighbours more than limit seconds
// apart, are missing. Cost is linear in both lengths.
func (s *Series) Resample(times []float64, limit float64) *Series {
	v := make([]float64, len(times))
	lo, hi := -1, s.nextPresent(0)
	for k, t := range times {
		for hi < len(s.Time) && s.Time[hi] < t {
			lo, hi = hi, s.nextPresent(hi+1)
		}
		switch {
		case hi < len(s.Time) && s.Time[hi] == t:
			v[k] = s.Value[hi]
		case lo < 0 || hi == len(s.Time):
			v[k] = math.NaN()
		default:
			v[k] = between(s.Time[lo], s.Value[lo], s.Time[hi], s.Value[hi], t, limit)
		}
	}
	return &Series{Name: s.Name, Dimension: s.Dimension, Start: s.Start, Time: times, Value: v}
}

func (s *Series) nextPresent(i int) int {
	for i < len(s.Time) && math.IsNaN(s.Value[i]) {
		i++
	}
	return i
}

// Sub returns a minus b at the times of a; b is interpolated and missing
// where its neighbours are more than limit seconds apart. The difference of
// two temperatures is a temperature difference. It fails if a and b have
// different dimensions or starts.
func Sub(name string, a, b *Series, limit float64) (*Series, error) {
	if a.Dimension != b.Dimension {
		return nil, fmt.Errorf("series.Sub: %q is a %v but %q is a %v", a.Name, a.Dimension, b.Name, b.Dimension)
	}
	if !a.Start.Equal(b.Start) {
		return nil, fmt.Errorf("series.Sub: %q and %q count time from different starts; use Since first", a.Name, b.Name)
	}
	dim := a.Dimension
	if dim == Temperature {
		dim = TemperatureDifference
	}
	r := b.Resample(a.Time, limit)
	v := make([]float64, a.Len())
	for i := range v {
		v[i] = a.Value[i] - r.Value[i]
	}
	return a.With(name, dim, v), nil
}
