// Package bins reads the channels of a drive at even bins of time.
package bins

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Along returns a channel of a drive at bins of step seconds at the times t, as
// the mean of what it reads over a bin's time where there is more than a reading
// in it, its gaps bridged with the last value; nil if the drive has no such
// channel or hardly any of it.
func Along(d *drive.Drive, role drive.Role, t []float64, step float64) []float64 {
	c, ok := d.Channels[role]
	if !ok {
		return nil
	}
	s := c.Series.Resample(t, math.Inf(1))
	if step > 1.5*c.Series.Step() {
		Average(s.Value, t, step, c.Series)
	}
	x := make([]float64, len(t))
	missing, last := 0, math.NaN()
	for i, v := range s.Value {
		if math.IsNaN(v) {
			missing++
			v = last
		}
		x[i], last = v, v
	}
	if 2*missing > len(x) {
		return nil
	}
	for i := len(x) - 2; i >= 0; i-- {
		if math.IsNaN(x[i]) {
			x[i] = x[i+1]
		}
	}
	return x
}

// Average replaces values x at bins by the means of a series over half a step to
// either side, where it has readings there.
func Average(x, t []float64, step float64, s *series.Series) {
	from, to, sum, n := 0, 0, 0.0, 0.0
	add := func(v, sign float64) {
		if !math.IsNaN(v) {
			sum, n = sum+sign*v, n+sign
		}
	}
	for i, at := range t {
		for to < len(s.Time) && s.Time[to] < at+step/2 {
			add(s.Value[to], 1)
			to++
		}
		for from < to && s.Time[from] < at-step/2 {
			add(s.Value[from], -1)
			from++
		}
		if n > 0 {
			x[i] = sum / n
		}
	}
}

// Quantum returns the smallest step between different neighbouring values: the
// display's resolution, or a meaningless small number for fine readings.
func Quantum(v []float64) float64 {
	least, last := math.Inf(1), math.NaN()
	for _, x := range v[:min(len(v), 20_000)] {
		if d := math.Abs(x - last); d > 1e-6 && d < least {
			least = d
		}
		if !math.IsNaN(x) {
			last = x
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// ColdestAir is the lowest reading of the outside air, or else of the air drawn,
// K; NaN where neither is read.
func ColdestAir(d *drive.Drive) float64 {
	for _, role := range []drive.Role{drive.Ambient, drive.Intake} {
		if c, ok := d.Channels[role]; ok {
			if least, _ := c.Series.MinMax(c.Series.Interval()); !math.IsNaN(least) {
				return least
			}
		}
	}
	return math.NaN()
}

// Spread is the standard deviation that the quartiles of x tell; NaN for fewer than
// two.
func Spread(x []float64) float64 {
	if len(x) < 2 {
		return math.NaN()
	}
	y := slices.Clone(x)
	slices.Sort(y)
	// Interquartile range of a normal distribution is 1.349 σ.
	return (y[len(y)*3/4] - y[len(y)/4]) / 1.349
}
