package roadload

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// Pull is one acceleration through an interval of speed.
type Pull struct {
	// Start and End are the interpolated times of the two crossings in s.
	Start, End float64
	// Time is End − Start with the standard uncertainty that the noise of speed
	// gives it: σ_v·√(1/a₁² + 1/a₂²) with the slopes at the two crossings.
	Time uncertainty.Value
	// Distance in m.
	Distance float64
}

// IntervalOptions says what counts as a pull. Start from DefaultIntervalOptions;
// a field that is zero takes its default.
type IntervalOptions struct {
	// SpeedNoise is the standard deviation of a single speed, m/s; zero takes
	// 0.2, a phone or small receiver inside a car (about half a mile per hour).
	// A receiver's Doppler speed under open sky has 0.1.
	SpeedNoise float64
	// Gap is the longest step in s within a pull; zero takes 2.5.
	Gap float64
	// Dip is how far speed may fall within a pull, m/s, as by noise; zero
	// takes 0.5. A larger dip, as by a gear change, ends it.
	Dip float64
}

// TimesOver returns every acceleration through the whole interval from one
// speed to a higher one, without a dip or gap on the way, in order of time.
// The crossings are interpolated between samples by straight lines. No pull is
// no error: the result is empty. It fails for a series that is no speed, and,
// wrapping [ErrOutOfRange], for an interval that is not within 0 to 90 m/s and
// for options that can't be.
func TimesOver(speed *series.Series, from, to quantity.Speed, opt IntervalOptions) ([]Pull, error) {
	if speed.Dimension != series.Speed {
		return nil, fmt.Errorf("roadload.TimesOver: series %q is a %v, want a %v", speed.Name, speed.Dimension, series.Speed)
	}
	if err := checkTrace("TimesOver", speed); err != nil {
		return nil, err
	}
	if !(from > 0 && to > from && to <= 90) {
		return nil, rangeError("TimesOver", fmt.Sprintf("interval from %v to", from), float64(to), 0, 90, quantity.KindSpeed.Shown(), "both in that range and ascending")
	}
	opt.defaults()
	if err := inRanges("TimesOver", []bounded{
		{"speed noise", opt.SpeedNoise, 0, 10, quantity.KindSpeed.SI(), ""},
		{"gap", opt.Gap, 0, 600, quantity.KindDuration.SI(), ""},
		{"dip", opt.Dip, 0, 20, quantity.KindSpeed.SI(), ""},
	}); err != nil {
		return nil, err
	}
	var pulls []Pull
	lo, hi := float64(from), float64(to)
	start, peak, distance := -1, 0.0, 0.0
	for i := 1; i < speed.Len(); i++ {
		a, b := speed.Value[i-1], speed.Value[i]
		t0, t1 := speed.Time[i-1], speed.Time[i]
		if math.IsNaN(a) || math.IsNaN(b) || t1-t0 > opt.Gap {
			start = -1
			continue
		}
		if a < lo && b >= lo { // a new upward crossing begins (or begins again)
			start, peak, distance = i, b, (b+lo)/2*(t1-t0)*(b-lo)/(b-a)
		} else if start >= 0 {
			distance += (a + b) / 2 * (t1 - t0)
		}
		if start < 0 {
			continue
		}
		if peak = max(peak, b); b < peak-opt.Dip || b < lo {
			start = -1
			continue
		}
		if b >= hi {
			distance -= (b + hi) / 2 * (t1 - t0) * (b - hi) / (b - max(a, lo))
			if a < lo { // one step through the whole interval: no time can be given
				start = -1
				continue
			}
			pulls = append(pulls, pull(speed, start, i, lo, hi, distance, opt.SpeedNoise))
			start = -1
		}
	}
	return pulls, nil
}

// DefaultIntervalOptions returns the settings for a phone in the car.
func DefaultIntervalOptions() IntervalOptions {
	return IntervalOptions{SpeedNoise: 0.2, Gap: 2.5, Dip: 0.5}
}

func (o *IntervalOptions) defaults() {
	d := DefaultIntervalOptions()
	if o.SpeedNoise == 0 {
		o.SpeedNoise = d.SpeedNoise
	}
	if o.Gap == 0 {
		o.Gap = d.Gap
	}
	if o.Dip == 0 {
		o.Dip = d.Dip
	}
}

// pull builds the result from the samples after the two crossings.
func pull(s *series.Series, first, last int, lo, hi, distance, noise float64) Pull {
	cross := func(i int, level float64) (t, slope float64) {
		slope = (s.Value[i] - s.Value[i-1]) / (s.Time[i] - s.Time[i-1])
		return s.Time[i-1] + (level-s.Value[i-1])/slope, slope
	}
	t0, a0 := cross(first, lo)
	t1, a1 := cross(last, hi)
	// The interpolated speed at a crossing averages two samples: between all
	// and half of their variance, on average 2/3.
	u := noise * math.Sqrt(2.0/3*(1/(a0*a0)+1/(a1*a1)))
	return Pull{Start: t0, End: t1, Time: uncertainty.Value{X: t1 - t0, U: u}, Distance: distance}
}

// String returns the time with its uncertainty and the distance.
func (p Pull) String() string { return fmt.Sprintf("%v s over %.0f m", p.Time, p.Distance) }
