package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// KnockModel holds what the autoignition bound assumes. [DefaultKnockModel]
// is the start.
type KnockModel struct {
	// Octane is the octane number that the engine needs in the first state.
	Octane float64
	// PressureRatio is end-gas pressure over pressure at inlet closing.
	PressureRatio float64
	// Index is the polytropic index of the unburned mixture's compression.
	Index float64
}

// DefaultKnockModel returns 90 octane, a pressure ratio of 40 and an index of
// 1.32.
func DefaultKnockModel() KnockModel { return KnockModel{Octane: 90, PressureRatio: 40, Index: 1.32} }

// Measured sensitivity of octane requirement to intake air temperature, octane
// numbers per kelvin.
const (
	// One octane number per 7 K, Russ, SAE 960497 (1996), abstract.
	knockPerKelvin = 1.0 / 7
	// Range over engines, fuels and methods. Nothing for a paraffinic reference
	// fuel: the compression ratio at which it knocks on a rating engine
	// changed by −0.10 to 0.12 from 33 °C to 150 °C (Rockstroh and others, as
	// quoted in the documentation of a public engine model), since hotter
	// charge is thinner. Up to 1.8 per 10 K, the bound below reduced for what
	// it leaves out.
	knockPerKelvinLow, knockPerKelvinHigh = 0, 0.18
)

// KnockShift is the change of octane requirement that a change of intake
// temperature amounts to. Negative: less octane needed.
type KnockShift struct {
	From, To quantity.Temperature
	// Octane is by the measured sensitivity, bounded by what engines and
	// methods have shown.
	Octane estimate.Estimate
	// Bound is by the autoignition model at equal pressure, about three times
	// what engines show.
	Bound float64
	Model KnockModel
	// Reconciliation says why Octane and Bound differ.
	Reconciliation string
	Cautions       []string
}

// ShiftOfKnock returns the octane-number equivalent of an intake temperature
// change at full throttle.
//
//	measured: ΔON = ΔT/(7 K), range 0 to 1.8 per 10 K
//	bound:    ON₂/ON₁ = exp[(3800 K/3.402)·(1/T₁ − 1/T₂)], T = T_intake·r^((n−1)/n)
//
// Valid for −40 °C to 150 °C, octane numbers 60 to 120, pressure ratios 5 to
// 100 and indices 1.2 to 1.4; otherwise NaN and an error that wraps
// [ErrOutOfRange].
//
// Source: Russ, SAE 960497 (1996), abstract; Douaud and Eyzat, SAE 780080
// (1978), constants as two public engine models have them.
func ShiftOfKnock(from, to quantity.Temperature, model KnockModel) (KnockShift, error) {
	k := KnockShift{From: from, To: to, Bound: math.NaN(), Model: model}
	k.Octane = estimate.Unknown("change of octane requirement", plain, "an input is outside its range")
	for _, t := range []quantity.Temperature{from, to} {
		if !(t.Celsius() >= -40 && t.Celsius() <= 150) {
			return k, rangeError("ShiftOfKnock", "intake temperature", t.Kelvin(), quantity.Celsius(-40).Kelvin(), quantity.Celsius(150).Kelvin(), quantity.KindTemperature.Shown(), "")
		}
	}
	switch {
	case !(model.Octane >= 60 && model.Octane <= 120):
		return k, rangeError("ShiftOfKnock", "octane number", model.Octane, 60, 120, plain, "start from DefaultKnockModel()")
	case !(model.PressureRatio >= 5 && model.PressureRatio <= 100):
		return k, rangeError("ShiftOfKnock", "pressure ratio", model.PressureRatio, 5, 100, plain, "")
	case !(model.Index >= 1.2 && model.Index <= 1.4):
		return k, rangeError("ShiftOfKnock", "polytropic index", model.Index, 1.2, 1.4, plain, "")
	}
	dt := to.Sub(from).Kelvins()
	k.Octane = estimate.Within("change of octane requirement", knockPerKelvin*dt, plain, knockPerKelvinLow*dt+0, knockPerKelvinHigh*dt)
	heat := math.Pow(model.PressureRatio, (model.Index-1)/model.Index)
	t1, t2 := from.Kelvin()*heat, to.Kelvin()*heat
	k.Bound = model.Octane * (math.Exp(3800/3.402*(1/t1-1/t2)) - 1)
	k.Reconciliation = fmt.Sprintf("The model gives %+.1f octane numbers where engines show about %+.1f. It is an upper bound: "+
		"the charge at inlet closing follows only 0.5 to 0.7 of a change of intake temperature, because walls and fuel even it out; "+
		"and a hotter charge is thinner, whose lower pressure takes about 2.5 octane numbers back for 5.5 %% of density. "+
		"Both together bring it to about 1.8 per 10 K, the upper end of what is measured.", k.Bound, k.Octane.Value)
	k.Cautions = []string{
		"Indicative only. It is no reason to change ignition timing: set that to the maker's figure, and only with means to hear or measure knock.",
		"How much depends on the fuel: one with a large difference between its research and motor octane numbers feels the temperature, a paraffinic one hardly does.",
		"Deposits, coolant temperature, humidity, mixture and the fuel's own sensitivity matter as much.",
		"Colder air also leans a carburettor's mixture, which can take back up to about one octane number on the way to the knock-prone 5 % rich.",
	}
	return k, nil
}

// String returns the measured shift, its range and the bound.
func (k KnockShift) String() string {
	return fmt.Sprintf("octane requirement %+.1f (%+.1f to %+.1f; autoignition model %+.1f as a bound) for intake air from %v to %v. %s %s",
		k.Octane.Value, k.Octane.Interval.Low, k.Octane.Interval.High, k.Bound, k.From, k.To, k.Reconciliation, k.Cautions[0])
}
