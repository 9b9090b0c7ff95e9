package thermostat

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// regulation describes the level held from the given time on.
func (tr *trace) regulation(from float64) Regulation {
	lo := tr.index(from)
	if len(tr.t)-lo < 20 {
		return Regulation{CyclingPeriod: math.NaN()}
	}
	r := Regulation{Role: tr.role, Interval: series.Interval{From: tr.t[lo], To: tr.t[len(tr.t)-1]}}
	r.Level = tr.heldLevel(lo)
	r.CyclingPeriod, r.CyclingAmplitude = tr.cycling(lo)
	return r
}

// heldLevel is the median from bin lo on. Half-minute means stand in for
// independent readings.
func (tr *trace) heldLevel(lo int) estimate.Estimate {
	const name = "regulated temperature"
	shown := quantity.KindTemperature.Shown()
	median := tr.quantile(lo, len(tr.t), 0.5)
	var means []float64
	for x := tr.t[lo]; x < tr.t[len(tr.t)-1]; x += 30 {
		if m := tr.mean(x, x+30); !math.IsNaN(m) {
			means = append(means, m)
		}
	}
	u := spread(means) / math.Sqrt(float64(len(means)))
	if math.IsNaN(u) {
		return estimate.Between(name, median, shown, estimate.NoInterval(), estimate.NoBasis, math.NaN())
	}
	half := 1.96 * u
	e := estimate.Between(name, median, shown, estimate.Interval{Low: median - half, High: median + half, Level: 0.95}, estimate.WithinDrive, math.Inf(1))
	e.Count = len(means)
	return e
}

func spread(x []float64) float64 {
	if len(x) < 2 {
		return math.NaN()
	}
	y := slices.Clone(x)
	slices.Sort(y)
	// Interquartile range of a normal distribution is 1.349 σ.
	return (y[len(y)*3/4] - y[len(y)/4]) / 1.349
}

// cycling returns the median period between maxima and half the median swing,
// NaN and 0 where the swing does not rise above resolution and noise. A
// maximum counts when the temperature has fallen by the threshold since.
func (tr *trace) cycling(lo int) (float64, quantity.TemperatureDifference) {
	s := tr.smooth(8)[lo:]
	t := tr.t[lo:]
	threshold := max(1.5*tr.quantum, 1.2)
	var peaks, swings []float64
	rising, extreme, at := true, s[0], 0
	last := s[0]
	for i, y := range s {
		switch {
		case rising && y > extreme, !rising && y < extreme:
			extreme, at = y, i
		case rising && y < extreme-threshold:
			peaks = append(peaks, t[at])
			swings = append(swings, extreme-last)
			last, rising, extreme, at = extreme, false, y, i
		case !rising && y > extreme+threshold:
			swings = append(swings, last-extreme)
			last, rising, extreme, at = extreme, true, y, i
		}
	}
	if len(peaks) < 3 {
		return math.NaN(), 0
	}
	var periods []float64
	for i := 1; i < len(peaks); i++ {
		periods = append(periods, peaks[i]-peaks[i-1])
	}
	slices.Sort(periods)
	slices.Sort(swings)
	period := periods[len(periods)/2]
	if period > 300 { // load and traffic, not the thermostat hunting
		return math.NaN(), 0
	}
	return period, quantity.KelvinDifference(swings[len(swings)/2] / 2)
}
