package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// StandardChange is one standard's word on a change of full-throttle power.
type StandardChange struct {
	Standard Standard
	// Change is the relative change of power, −0.05 for a loss of 5 %.
	Change float64
	// Extrapolated is true if one of the two states is outside the standard's
	// window; Outside says how.
	Extrapolated bool
	Outside      []string
}

// Effect is what a change of intake air does to full-throttle power and
// torque: a span over published formulas. The density is shown beside it and
// is not an estimate of power.
type Effect struct {
	From, To air.State
	// DensityChange is the relative change of the air's density.
	DensityChange float64
	// Power is the relative change of full-throttle power: the middle
	// standard's, between the lowest and the highest.
	Power estimate.Estimate
	// Estimates holds each standard's change, in the order of [Standards].
	Estimates []StandardChange
	// Weakest and Strongest are the estimates nearest to and farthest from
	// zero, as relative changes of power.
	Weakest, Strongest float64
	// DensityIsBound is true where the change of density is larger than every
	// estimate, as it is for a change of temperature. It is not for a change of
	// pressure alone: the standards weigh that with an exponent above 1.
	DensityIsBound bool
	// Extrapolated is true if any estimate is.
	Extrapolated bool
	Cautions     []string
}

// InKindNote is carried by every effect in which one of the states is an
// intake that differs from ambient.
const InKindNote = "Extrapolation in kind: the standards' temperature is that of the air around an engine on a test bench, " +
	"where intake and ambient are equal; an intake hotter than ambient is another case."

// ChangeOfPower returns what full-throttle power does when the intake air
// changes from one state to another, at the same engine, mixture and timing.
//
//	P_to/P_from = k(from)/k(to)
//
// with k each standard's correction factor. Invalid states give NaN and an
// error that wraps [air.ErrOutOfRange].
//
// Source: the formulas of [ISO1585], [SAEJ1349] and [DIN70020]. On the road,
// accelerations at 23 °C to 34 °C and 926 hPa to 1027 hPa followed SAE J1349
// best of four: Sodré and Soares, J. Braz. Soc. Mech. Sci. 25(3) (2003).
func ChangeOfPower(from, to air.State) (Effect, error) {
	e := Effect{From: from, To: to, DensityChange: math.NaN(), Weakest: math.NaN(), Strongest: math.NaN()}
	e.Power = estimate.Unknown("change of full-throttle power", quantity.KindShare.Shown(), "the state of the air is not valid")
	for _, s := range Standards() {
		k0, err := s.Factor(from)
		if err != nil {
			return e, fmt.Errorf("engine.ChangeOfPower, before: %w", err)
		}
		k1, err := s.Factor(to)
		if err != nil {
			return e, fmt.Errorf("engine.ChangeOfPower, after: %w", err)
		}
		x := StandardChange{Standard: s, Change: k0.Value/k1.Value - 1, Extrapolated: k0.Extrapolated || k1.Extrapolated}
		x.Outside = append(append(x.Outside, k0.Outside...), k1.Outside...)
		e.Extrapolated = e.Extrapolated || x.Extrapolated
		e.Estimates = append(e.Estimates, x)
	}
	e.DensityChange = float64(to.Density()/from.Density()) - 1
	e.span()
	low, high := e.Range()
	e.Power = estimate.Within("change of full-throttle power", e.middle(), quantity.KindShare.Shown(), low, high)
	e.Power.Count = len(e.Estimates)
	if e.Extrapolated {
		e.Power = e.Power.Warn(estimate.Warning{Kind: estimate.OutsideRange, Subject: "power", Text: "a standard is used outside its window: " + strings.Join(e.outside(), "; ")})
	}
	e.cautions()
	return e, nil
}

// outside lists the limits that are passed, each once, with the standard.
func (e *Effect) outside() []string {
	var all []string
	for _, s := range e.Estimates {
		for _, limit := range s.Outside {
			if text := fmt.Sprintf("%v: %s", s.Standard, limit); !slices.Contains(all, text) {
				all = append(all, text)
			}
		}
	}
	return all
}

func (e *Effect) span() {
	e.Weakest, e.Strongest = e.Estimates[0].Change, e.Estimates[0].Change
	e.DensityIsBound = true
	for _, x := range e.Estimates {
		if math.Abs(x.Change) < math.Abs(e.Weakest) {
			e.Weakest = x.Change
		}
		if math.Abs(x.Change) > math.Abs(e.Strongest) {
			e.Strongest = x.Change
		}
		if math.Abs(x.Change) > math.Abs(e.DensityChange) || x.Change*e.DensityChange < 0 {
			e.DensityIsBound = false
		}
	}
}

func (e *Effect) cautions() {
	e.Cautions = append(e.Cautions, PartThrottleNote, InKindNote)
	if !e.DensityIsBound {
		e.Cautions = append(e.Cautions, "Pressure takes part in this change: the standards weigh it more than density does, so density is no upper bound here.")
	}
	if lo, hi := e.Range(); lo < 0 && hi > 0 {
		e.Cautions = append(e.Cautions, "The standards do not agree on the sign: this change is too small to call.")
	}
	e.Cautions = append(e.Cautions, "Same mixture and timing assumed: a carburetted engine also changes its mixture with density, see ShiftOfMixture.")
}

// middle returns the median of the standards' changes.
func (e *Effect) middle() float64 {
	var changes []float64
	for _, x := range e.Estimates {
		changes = append(changes, x.Change)
	}
	slices.Sort(changes)
	return changes[len(changes)/2]
}

// Range returns the lowest and the highest estimate as relative changes.
func (e Effect) Range() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, x := range e.Estimates {
		low, high = math.Min(low, x.Change), math.Max(high, x.Change)
	}
	return low, high
}

// String returns the span, the density beside it, and the cautions.
func (e Effect) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "full-throttle power %+.1f %% to %+.1f %% (weakest to strongest standard)", 100*e.Weakest, 100*e.Strongest)
	if e.Extrapolated {
		b.WriteString(", extrapolated")
	}
	bound := "upper bound, not power"
	if !e.DensityIsBound {
		bound = "not power, and no bound here"
	}
	fmt.Fprintf(&b, "\nair density %+.1f %% (%s)\n", 100*e.DensityChange, bound)
	for _, x := range e.Estimates {
		fmt.Fprintf(&b, "  %-10v %+.2f %%", x.Standard, 100*x.Change)
		if x.Extrapolated {
			fmt.Fprintf(&b, "  extrapolated: %s", strings.Join(x.Outside, "; "))
		}
		b.WriteByte('\n')
	}
	for _, c := range e.Cautions {
		fmt.Fprintf(&b, "- %s\n", c)
	}
	return b.String()
}
