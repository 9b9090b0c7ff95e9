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
	// Budget holds the power with everything that is modelled in it: the law, the
	// interval of the difference, the mixture, the outside air; and what each
	// adds to the uncertainty.
	Budget engine.PowerBudget
	// Mixture is what the shift of an unadjusted carburettor's mixture adds or
	// takes, for λ where it was measured or else in [engine.UsualLambda]: the
	// budget's.
	Mixture estimate.Estimate
	// Total is power and mixture together with its 95 % interval: the budget's.
	Total estimate.Estimate
	// BeforeDuct is Total without what the duct takes off the pressure; the same
	// where that is not known, and Ducted is false.
	BeforeDuct estimate.Estimate
	Ducted     bool
	Cautions   []string
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
// It fails where a side has no drive, and, in words for the driver and wrapping
// [air.ErrOutOfRange], where a side or an end of the interval asks for intake air
// that can't be: below the dew point of the outside air, or beyond what package air
// covers.
func PowerOf(d Difference, outside air.State) (Worth, error) {
	return PowerIn(d, engine.Charge{Outside: outside})
}

// PowerIn is [PowerOf] for a charge of which more is known than the outside
// air: its uncertainty, what the duct takes off the pressure, where the mixture
// stood. The kind of carburettor and λ that the drives were compared with stand
// where charge has none.
//
// Errors are those of [PowerOf] and of [engine.Charge.Power].
func PowerIn(d Difference, charge engine.Charge) (Worth, error) {
	outside := charge.Outside
	if charge.Metering.Kind == engine.UnknownCarburettor {
		charge.Metering.Kind = d.mixture
	}
	if charge.Lambda == (engine.LambdaRange{}) {
		charge.Lambda = d.lambda
	}
	share := quantity.KindShare.Shown()
	w := Worth{Difference: d, Preparation: charge.Metering.Kind, Power: estimate.Unknown("change of full-throttle power", share, "there are not drives enough")}
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return w, fmt.Errorf("compare.PowerOf: %q has %d drives before and %d after; both are needed", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	at := func(change float64, when string) (e engine.Effect, err error) {
		from, err := d.intake("before the change", outside, outside.Temperature.Add(quantity.KelvinDifference(d.Before.Rise.Value)))
		if err != nil {
			return e, err
		}
		to, err := d.intake(when, outside, from.Temperature.Add(quantity.KelvinDifference(change)))
		if err != nil {
			return e, err
		}
		return engine.ChangeOfPower(from, to)
	}
	var err error
	if w.Effect, err = at(d.Change.Value, "after the change"); err != nil {
		return w, err
	}
	level := d.Change.Interval.Level
	v := estimate.Interval{Low: math.Inf(-1), High: math.Inf(1), Level: level}
	const none = "the sides can't be compared"
	w.Mixture = estimate.Unknown("change by the mixture", share, none)
	w.Total = estimate.Unknown("change of full-throttle power, mixture included", share, none)
	w.BeforeDuct = w.Total
	if d.Verdict != NotComparable {
		v = nothing(level)
		for _, end := range []float64{d.Change.Interval.Low, d.Change.Interval.High} {
			e, err := at(end, fmt.Sprintf("at the end of the change's interval, %s,", d.kelvins("%+.1f", end)))
			if err != nil {
				return w, fmt.Errorf("%w; more drives narrow the interval", err)
			}
			low, high := e.Range()
			v = spanning(v, low, high)
		}
		before := d.Before.Rise
		before.Interval = estimate.NoInterval() // the change holds what is not known of it
		if w.Budget, err = charge.Power(before, d.Change); err != nil {
			return w, fmt.Errorf("compare.PowerOf, %q: %w", d.Stratum, err)
		}
		w.Mixture, w.Total, w.BeforeDuct = w.Budget.Mixture, w.Budget.Total, w.Budget.Total
		if w.Ducted = charge.Metering.LossBefore > 0 && charge.Metering.LossAfter > 0; w.Ducted {
			free := charge
			free.Metering.LossBefore, free.Metering.LossAfter, free.LossUncertainty = 0, 0, 0
			b, err := free.Power(before, d.Change)
			if err != nil {
				return w, fmt.Errorf("compare.PowerOf, %q: %w", d.Stratum, err)
			}
			w.BeforeDuct = b.Total
		}
	}
	w.Power = estimate.Between("change of full-throttle power", w.Effect.Power.Value, share, v, estimate.BetweenDrives, d.Change.DegreesOfFreedom)
	w.Power.Count, w.Power.Warnings = d.Change.Count, w.Effect.Power.Warnings
	if !d.AtFullThrottle {
		w.Cautions = append(w.Cautions, "The rise was measured at part throttle. At full throttle the engine draws several times as much air, which has less time to warm up, and burns as much more fuel, whose heat reaches the bay after a minute or two: a pull of seconds gains rather less than this, a long climb can gain more.")
	}
	return w, nil
}

// nothing is an interval before anything is in it.
func nothing(level float64) estimate.Interval {
	return estimate.Interval{Low: math.Inf(1), High: math.Inf(-1), Level: level}
}

func spanning(v estimate.Interval, low, high float64) estimate.Interval {
	v.Low, v.High = math.Min(v.Low, low), math.Max(v.High, high)
	return v
}

// percents writes a span of shares.
func percents(low, high float64) string {
	return quantity.Numbers("%+.1f %% to %+.1f %%", 100*low, 100*high)
}

// String returns the worth in a few lines.
func (w Worth) String() string {
	var b strings.Builder
	lo, hi := w.Effect.Range()
	fmt.Fprintf(&b, "%s: rise %s; full-throttle power %s over the standards", w.Difference.Stratum, w.Difference.kelvins("%+.1f", w.Difference.Change.Value), percents(lo, hi))
	if v := w.Power.Interval; math.IsInf(v.Low, 0) {
		b.WriteString("; no interval over drives yet\n")
	} else {
		fmt.Fprintf(&b, "; %s with the %.0f %% interval over drives\n", percents(v.Low, v.High), 100*v.Level)
	}
	if v := w.Total.Interval; v.Known() {
		stood := "nobody measured where it stood"
		if l := w.Budget.Lambda; l.Measured {
			stood = fmt.Sprintf("it stood at λ %.2f to %.2f, as measured", l.Low, l.High)
		}
		fmt.Fprintf(&b, "with the mixture, if nothing is adjusted and %s: %s; most of what is not known: %s\n", stood, percents(v.Low, v.High), w.Budget.Leading())
	}
	b.WriteString(quantity.Numbers("air density %+.1f %% (not power)\n", 100*w.Effect.DensityChange))
	b.WriteString("- Not in it: flame speed beyond the standards, fuel that evaporates later, distribution between cylinders, resonance of the intake; see engine.NotModelled.\n")
	for _, c := range append(w.Cautions, w.Effect.Cautions...) {
		fmt.Fprintf(&b, "- %s\n", c)
	}
	return b.String()
}
