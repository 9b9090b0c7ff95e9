package engine

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// WarmAir is a thermostatic air cleaner or a winter flap: it takes air from a
// stove around the exhaust manifold until the intake air is warm.
type WarmAir struct {
	// Held is the temperature at which it holds the intake air in cool weather,
	// HeldLow and HeldHigh its bounds; bounds that are not set are Held itself.
	Held, HeldLow, HeldHigh quantity.Temperature
}

// UsualWarmAir holds 40 °C, between 24 °C and 55 °C. Workshop manuals of 1979 to
// 1992 for several makes name 24 °C, 30 °C or 32 °C below which all air is
// warmed, 38 °C to 49 °C as held, 55 °C above which all air comes from outside;
// older flaps are set by hand.
func UsualWarmAir() WarmAir {
	return WarmAir{Held: quantity.Celsius(40), HeldLow: quantity.Celsius(24), HeldHigh: quantity.Celsius(55)}
}

// Lost is what goes with the warm air when it is removed, in one weather.
type Lost struct {
	Outside air.State
	// Icing is the risk with the warm air and without it.
	Icing IcingChange
	// Mixture is the shift from the held temperature to without; its bounds hold
	// those from the lowest and the highest that may be held.
	Mixture MixtureShift
	Text    []string
	// Units are those of the texts, see [Lost.In].
	Units quantity.Preferred
}

// In returns the same with its texts in the given units.
func (l Lost) In(units quantity.Preferred) Lost {
	l.Icing, l.Units = l.Icing.In(units), units
	return l
}

// ReadIn returns the units in which it is read.
func (l Lost) ReadIn() quantity.Preferred { return l.Units }

// Lost returns what an engine loses in some weather if its warm air is taken
// away and the intake air comes rise above outside. At full throttle such a
// cleaner lets cold air in by itself (its vacuum motor has no vacuum), so that
// removing it gains nothing there.
//
// Errors are those of [CompareIcing] and [ShiftOfMixture], and one that wraps
// [ErrOutOfRange] for a temperature outside −20 °C to 120 °C.
func (w WarmAir) Lost(outside air.State, rise quantity.TemperatureDifference, kind Carburettor) (Lost, error) {
	l := Lost{Outside: outside}
	for i, t := range []quantity.Temperature{w.Held, w.HeldLow, w.HeldHigh} {
		if low, high := quantity.Celsius(-20), quantity.Celsius(120); !(t.Compare(low) >= 0 && t.Compare(high) <= 0) && (i == 0 || t != quantity.Temperature{}) {
			return l, rangeError("WarmAir.Lost", "temperature that is held", t.Kelvin(), low.Kelvin(), high.Kelvin(), quantity.KindTemperature.Shown(), "")
		}
	}
	without, err := outside.Heated(outside.Temperature.Add(rise))
	if err != nil {
		return l, fmt.Errorf("engine.WarmAir.Lost: %w", err)
	}
	with, err := warmed(outside, without, w.Held)
	if err != nil {
		return l, err
	}
	if l.Icing, err = CompareIcing(with, without); err != nil {
		return l, err
	}
	if l.Mixture, err = ShiftOfMixture(kind, with, without); err != nil {
		return l, err
	}
	for _, held := range []quantity.Temperature{w.HeldLow, w.HeldHigh} {
		if !held.IsValid() {
			continue
		}
		bound, err := warmed(outside, without, held)
		if err != nil {
			return l, err
		}
		shift, err := ShiftOfMixture(kind, bound, without)
		if err != nil {
			return l, err
		}
		l.Mixture.bound(min(l.Mixture.Low, shift.Low), max(l.Mixture.High, shift.High))
	}
	if with == without {
		l.Text = []string{"nothing: the air is as warm without it"}
		return l, nil
	}
	l.Text = []string{
		fmt.Sprintf("ice: %v with it, %v without", l.Icing.Present.Risk, l.Icing.Changed.Risk),
		fmt.Sprintf("mixture at part throttle: %.1f %% leaner without it (%.1f to %.1f %%) than the one that the carburettor was set for", 100*l.Mixture.Change.Value, 100*l.Mixture.Change.Interval.Low, 100*l.Mixture.Change.Interval.High),
		"warming up: a cold charge wets the manifold and wants the choke for longer; how long is not predicted",
		"an exhaust riser under the manifold does the same from below; what it does to ice and distribution is not modelled",
		"at full throttle nothing: it opens to cold air by itself there",
	}
	return l, nil
}

// warmed returns outside air at the temperature that is held, or the air without
// it where that is as warm.
func warmed(outside, without air.State, held quantity.Temperature) (air.State, error) {
	if held.Compare(without.Temperature) <= 0 {
		return without, nil
	}
	with, err := outside.Heated(held)
	if err != nil {
		return with, fmt.Errorf("engine.WarmAir.Lost: %w", err)
	}
	return with, nil
}

// String returns what is lost, a line each.
func (l Lost) String() string {
	s := fmt.Sprintf("outside %s, without warm air one loses:", l.Outside.In(l.Units))
	for _, t := range l.Text {
		s += "\n- " + t
	}
	return s
}
