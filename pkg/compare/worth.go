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
	// Effect is that of the mean change.
	Effect engine.Effect
	// Power is the relative change of power: the middle standard's for the mean
	// change, with an interval from the lowest to the highest over the standards
	// and over the interval of the difference together; unbounded where that has
	// none.
	Power    estimate.Estimate
	Cautions []string
}

// PowerOf returns what the difference is worth at full throttle in the given
// outside air. Intake air keeps the outside air's vapour pressure; only its
// temperature differs.
//
// A rise that was measured at part throttle overstates what full throttle
// sees: the engine draws about five times as much air then, which has less
// time to warm up. The result says so unless the stratum is full throttle.
//
// It fails where a side has no drive, or where an end of the interval leaves
// the range of air that package air covers.
func PowerOf(d Difference, outside air.State) (Worth, error) {
	w := Worth{Difference: d, Power: estimate.Unknown("change of full-throttle power", quantity.KindShare.Shown(), "there are not drives enough")}
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return w, fmt.Errorf("compare.PowerOf: %q has %d drives before and %d after; both are needed", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	effect := func(change float64) (engine.Effect, error) {
		from, err := outside.Heated(outside.Temperature.Add(quantity.KelvinDifference(d.Before.Rise.Value)))
		if err != nil {
			return engine.Effect{}, err
		}
		to, err := outside.Heated(from.Temperature.Add(quantity.KelvinDifference(change)))
		if err != nil {
			return engine.Effect{}, err
		}
		return engine.ChangeOfPower(from, to)
	}
	var err error
	if w.Effect, err = effect(d.Change.Value); err != nil {
		return w, fmt.Errorf("compare.PowerOf, %q: %w", d.Stratum, err)
	}
	v := estimate.Interval{Low: math.Inf(-1), High: math.Inf(1), Level: d.Change.Interval.Level}
	if d.Verdict != NotComparable {
		v.Low, v.High = math.Inf(1), math.Inf(-1)
		for _, end := range []float64{d.Change.Interval.Low, d.Change.Interval.High} {
			e, err := effect(end)
			if err != nil {
				return w, fmt.Errorf("compare.PowerOf, %q, end of the interval: %w", d.Stratum, err)
			}
			lo, hi := e.Range()
			v.Low, v.High = math.Min(v.Low, lo), math.Max(v.High, hi)
		}
	}
	w.Power = estimate.Between("change of full-throttle power", w.Effect.Power.Value, quantity.KindShare.Shown(), v, estimate.BetweenDrives, d.Change.DegreesOfFreedom)
	w.Power.Count, w.Power.Warnings = d.Change.Count, w.Effect.Power.Warnings
	if !d.AtFullThrottle {
		w.Cautions = append(w.Cautions, "The rise was measured at part throttle. At full throttle the engine draws about five times as much air, which has less time to warm up: this is an upper limit for the gain.")
	}
	return w, nil
}

// String returns the worth in a few lines.
func (w Worth) String() string {
	var b strings.Builder
	lo, hi := w.Effect.Range()
	fmt.Fprintf(&b, "%s: rise %+.1f K; full-throttle power %+.1f %% to %+.1f %% over the standards", w.Difference.Stratum, w.Difference.Change.Value, 100*lo, 100*hi)
	if v := w.Power.Interval; math.IsInf(v.Low, 0) {
		b.WriteString("; no interval over drives yet\n")
	} else {
		fmt.Fprintf(&b, "; %+.1f %% to %+.1f %% with the %.0f %% interval over drives\n", 100*v.Low, 100*v.High, 100*v.Level)
	}
	fmt.Fprintf(&b, "air density %+.1f %% (not power)\n", 100*w.Effect.DensityChange)
	for _, c := range append(w.Cautions, w.Effect.Cautions...) {
		fmt.Fprintf(&b, "- %s\n", c)
	}
	return b.String()
}
