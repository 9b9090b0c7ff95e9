package sensor

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Settled is a channel's reading over a stretch in which the temperature was
// meant to stand still.
type Settled struct {
	Mean quantity.Temperature
	// Uncertainty is the standard uncertainty of Mean from scatter, with
	// neighbouring samples counted for what they are worth, from the logger's
	// resolution and from drift.
	Uncertainty quantity.TemperatureDifference
	// Drift is the slope over the stretch in kelvin per second.
	Drift float64
	// Samples is the number of present values, Effective the number of
	// independent ones that they amount to.
	Samples   int
	Effective float64
	Warnings  []estimate.Warning

	name   string
	change float64 // K, over the stretch
}

// In returns the same with its texts in the given units.
func (r Settled) In(units quantity.Preferred) Settled {
	r.Warnings = nil
	if math.Abs(r.change) > driftLimit {
		r.Warnings = []estimate.Warning{{Kind: Unsettled, Subject: r.name, Text: fmt.Sprintf("moves by %s over the stretch; wait longer, or take a shorter stretch", kelvins(units, "%.2f", r.change))}}
	}
	return r
}

// driftLimit is the change in kelvin over the stretch from which on a reading
// is called unsettled; common practice, no source.
const driftLimit = 0.3

// SettledReading returns the reading of a channel over a stretch. It fails for
// a series that is no temperature and for fewer than five values.
func SettledReading(s *series.Series, v series.Interval) (Settled, error) {
	out := Settled{Mean: quantity.Kelvin(math.NaN()), Uncertainty: quantity.TemperatureDifference(math.NaN())}
	if s.Dimension != series.Temperature {
		return out, fmt.Errorf("sensor.SettledReading: %q is a %v, not a temperature", s.Name, s.Dimension)
	}
	var t, x []float64
	part := s.Slice(v)
	for i, k := range part.Value {
		if !math.IsNaN(k) {
			t, x = append(t, part.Time[i]), append(x, k)
		}
	}
	if len(x) < 5 {
		return out, fmt.Errorf("sensor.SettledReading: %q has %d values in %v, at least 5 are needed", s.Name, len(x), v)
	}
	mean, slope, rest := line(t, x)
	n := float64(len(x))
	r := math.Max(0, series.Autocorrelation(rest, 1))
	if math.IsNaN(r) {
		r = 0 // all residuals equal: nothing but resolution is left
	}
	out.Samples, out.Effective = len(x), math.Max(1, n*(1-r)/(1+r))
	scatter := 0.0
	for _, e := range rest {
		scatter += e * e / (n - 2)
	}
	change := slope * (t[len(t)-1] - t[0])
	out.Mean, out.Drift = quantity.Kelvin(mean), slope
	out.Uncertainty = quantity.KelvinDifference(math.Sqrt(scatter/out.Effective + square(resolution(x))/12 + square(change)/12))
	out.name, out.change = s.Name, change
	return out.In(quantity.Preferred{}), nil
}

func square(x float64) float64 { return x * x }

// line fits x = mean + slope·(t − mean of t) and returns the residuals.
func line(t, x []float64) (mean, slope float64, rest []float64) {
	n := float64(len(t))
	var mt, stt, stx float64
	for i := range t {
		mt += t[i] / n
		mean += x[i] / n
	}
	for i := range t {
		stt += square(t[i] - mt)
		stx += (t[i] - mt) * (x[i] - mean)
	}
	if stt > 0 {
		slope = stx / stt
	}
	rest = make([]float64, len(t))
	for i := range t {
		rest[i] = x[i] - mean - slope*(t[i]-mt)
	}
	return mean, slope, rest
}

// resolution returns the smallest step between different values, which is the
// logger's resolution where it rounds, and next to nothing where it does not.
func resolution(x []float64) float64 {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	step := 0.0
	for i := 1; i < len(sorted); i++ {
		if d := sorted[i] - sorted[i-1]; d > 1e-6 && (step == 0 || d < step) {
			step = d
		}
	}
	return step
}
