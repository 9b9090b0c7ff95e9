package compare

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Worth is what a change of the rise is worth at full throttle.
type Worth struct {
	Difference Difference
	// Effect is that of the mean change.
	Effect engine.Effect
	// Low and High are the lowest and highest relative change of power over
	// the standards and over the interval of the difference together; both
	// infinite where there is no interval.
	Low, High float64
	Cautions  []string
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
	w := Worth{Difference: d, Low: math.Inf(-1), High: math.Inf(1)}
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return w, fmt.Errorf("compare.PowerOf: %q has %d drives before and %d after; both are needed", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	effect := func(change quantity.TemperatureDifference) (engine.Effect, error) {
		from, err := outside.Heated(outside.Temperature.Add(d.Before.Value))
		if err != nil {
			return engine.Effect{}, err
		}
		to, err := outside.Heated(from.Temperature.Add(change))
		if err != nil {
			return engine.Effect{}, err
		}
		return engine.ChangeOfPower(from, to)
	}
	var err error
	if w.Effect, err = effect(d.Change); err != nil {
		return w, fmt.Errorf("compare.PowerOf, %q: %w", d.Stratum, err)
	}
	if d.Verdict != TooFewDrives {
		w.Low, w.High = math.Inf(1), math.Inf(-1)
		for _, end := range []quantity.TemperatureDifference{d.Interval.Lo, d.Interval.Hi} {
			e, err := effect(end)
			if err != nil {
				return w, fmt.Errorf("compare.PowerOf, %q, end of the interval: %w", d.Stratum, err)
			}
			lo, hi := e.Range()
			w.Low, w.High = math.Min(w.Low, lo), math.Max(w.High, hi)
		}
	}
	if !d.AtFullThrottle {
		w.Cautions = append(w.Cautions, "The rise was measured at part throttle. At full throttle the engine draws about five times as much air, which has less time to warm up: this is an upper limit for the gain.")
	}
	return w, nil
}

// String returns the worth in a few lines.
func (w Worth) String() string {
	var b strings.Builder
	lo, hi := w.Effect.Range()
	fmt.Fprintf(&b, "%s: rise %+.1f K; full-throttle power %+.1f %% to %+.1f %% over the standards", w.Difference.Stratum, float64(w.Difference.Change), 100*lo, 100*hi)
	if math.IsInf(w.Low, 0) {
		b.WriteString("; no interval over drives yet\n")
	} else {
		fmt.Fprintf(&b, "; %+.1f %% to %+.1f %% with the %.0f %% interval over drives\n", 100*w.Low, 100*w.High, 100*w.Difference.Level)
	}
	fmt.Fprintf(&b, "air density %+.1f %% (not power)\n", 100*w.Effect.DensityChange)
	for _, c := range append(w.Cautions, w.Effect.Cautions...) {
		fmt.Fprintf(&b, "- %s\n", c)
	}
	return b.String()
}
