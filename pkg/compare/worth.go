package compare

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Worth is what a change of the rise is worth at full throttle.
type Worth struct {
	Difference Difference
	// Preparation is how the engine makes its mixture.
	Preparation engine.Carburettor
	// Effect is that of the mean change.
	Effect engine.Effect
	// Power is the relative change of power: the middle standard's for the mean
	// change, with an interval from the lowest to the highest over the standards
	// and over the interval of the difference together; unbounded where that has
	// none.
	Power estimate.Estimate
	// Mixture is what the shift of an unadjusted carburettor's mixture adds or
	// takes, for λ somewhere in [engine.UsualLambda], over the interval of the
	// difference.
	Mixture estimate.Estimate
	// Total is Power and Mixture together: bounds, no probability.
	Total    estimate.Estimate
	Cautions []string
}

// PowerOf returns what the difference is worth at full throttle in the given
// outside air. Intake air keeps the outside air's vapour pressure; only its
// temperature differs.
//
// A rise that was measured at part throttle is not that of full throttle: the
// engine draws several times as much air then, which has less time to warm up,
// so that a pull of seconds sees less of it; after a minute or two the heat of
// that much more fuel has reached the bay, and a long climb can see more. The
// result says so unless the stratum is full throttle.
//
// It fails where a side has no drive, or where an end of the interval leaves
// the range of air that package air covers.
func PowerOf(d Difference, outside air.State) (Worth, error) {
	w := Worth{Difference: d, Preparation: d.mixture, Power: estimate.Unknown("change of full-throttle power", quantity.KindShare.Shown(), "there are not drives enough")}
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return w, fmt.Errorf("compare.PowerOf: %q has %d drives before and %d after; both are needed", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	at := func(change float64) (p powers, err error) {
		from, err := outside.Heated(outside.Temperature.Add(quantity.KelvinDifference(d.Before.Rise.Value)))
		if err != nil {
			return p, err
		}
		to, err := outside.Heated(from.Temperature.Add(quantity.KelvinDifference(change)))
		if err != nil {
			return p, err
		}
		if p.effect, err = engine.ChangeOfPower(from, to); err != nil {
			return p, err
		}
		shift, err := engine.ShiftOfMixture(d.mixture, from, to)
		if err != nil {
			return p, err
		}
		p.mixture, err = engine.PowerOfMixture(shift, engine.UsualLambda())
		return p, err
	}
	mean, err := at(d.Change.Value)
	if err != nil {
		return w, fmt.Errorf("compare.PowerOf, %q: %w", d.Stratum, err)
	}
	w.Effect = mean.effect
	level := d.Change.Interval.Level
	v := estimate.Interval{Low: math.Inf(-1), High: math.Inf(1), Level: level}
	mixture, total := v, v
	if d.Verdict != NotComparable {
		v, mixture, total = nothing(level), nothing(level), nothing(level)
		for _, end := range []float64{d.Change.Interval.Low, d.Change.Interval.High} {
			p, err := at(end)
			if err != nil {
				return w, fmt.Errorf("compare.PowerOf, %q, end of the interval: %w", d.Stratum, err)
			}
			low, high := p.effect.Range()
			m := p.mixture.Interval
			v, mixture = spanning(v, low, high), spanning(mixture, m.Low, m.High)
			total = spanning(total, (1+low)*(1+m.Low)-1, (1+high)*(1+m.High)-1)
		}
	}
	share := quantity.KindShare.Shown()
	w.Mixture = estimate.Within("change by the mixture", mean.mixture.Value, share, mixture.Low, mixture.High)
	w.Total = estimate.Within("change of full-throttle power, mixture included", (1+mean.effect.Power.Value)*(1+mean.mixture.Value)-1, share, total.Low, total.High)
	w.Power = estimate.Between("change of full-throttle power", w.Effect.Power.Value, quantity.KindShare.Shown(), v, estimate.BetweenDrives, d.Change.DegreesOfFreedom)
	w.Power.Count, w.Power.Warnings = d.Change.Count, w.Effect.Power.Warnings
	if !d.AtFullThrottle {
		w.Cautions = append(w.Cautions, "The rise was measured at part throttle. At full throttle the engine draws several times as much air, which has less time to warm up, and burns as much more fuel, whose heat reaches the bay after a minute or two: a pull of seconds gains rather less than this, a long climb can gain more.")
	}
	return w, nil
}

// powers are what one change of temperature does.
type powers struct {
	effect  engine.Effect
	mixture estimate.Estimate
}

// nothing is an interval before anything is in it.
func nothing(level float64) estimate.Interval {
	return estimate.Interval{Low: math.Inf(1), High: math.Inf(-1), Level: level}
}

func spanning(v estimate.Interval, low, high float64) estimate.Interval {
	v.Low, v.High = math.Min(v.Low, low), math.Max(v.High, high)
	return v
}

// String returns the worth in a few lines.
func (w Worth) String() string {
	var b strings.Builder
	lo, hi := w.Effect.Range()
	fmt.Fprintf(&b, "%s: rise %s; full-throttle power %+.1f %% to %+.1f %% over the standards", w.Difference.Stratum, w.Difference.kelvins("%+.1f", w.Difference.Change.Value), 100*lo, 100*hi)
	if v := w.Power.Interval; math.IsInf(v.Low, 0) {
		b.WriteString("; no interval over drives yet\n")
	} else {
		fmt.Fprintf(&b, "; %+.1f %% to %+.1f %% with the %.0f %% interval over drives\n", 100*v.Low, 100*v.High, 100*v.Level)
	}
	if v := w.Total.Interval; !math.IsInf(v.Low, 0) {
		fmt.Fprintf(&b, "with the mixture, if nothing is adjusted and nobody knows where it stood: %+.1f %% to %+.1f %%\n", 100*v.Low, 100*v.High)
	}
	fmt.Fprintf(&b, "air density %+.1f %% (not power)\n", 100*w.Effect.DensityChange)
	for _, c := range append(w.Cautions, w.Effect.Cautions...) {
		fmt.Fprintf(&b, "- %s\n", c)
	}
	return b.String()
}
