package fuel

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Volatility is how easily petrol boils: bounds of its Reid vapour pressure, at
// 37.8 °C.
type Volatility struct{ Low, High quantity.Pressure }

// Summer is 45 kPa to 60 kPa, as sold in temperate summers (EN 228, class
// A, from memory). [Winter] is 60 kPa to 90 kPa. Winter petrol in a warm
// spring is the usual cause of vapour lock.
func Summer() Volatility { return Volatility{45e3, 60e3} }

// Winter is 60 kPa to 90 kPa (EN 228, classes D to E, from memory).
func Winter() Volatility { return Volatility{60e3, 90e3} }

// VapourPressure returns the pressure at which petrol of a Reid vapour
// pressure begins to boil at temperature t.
//
// Valid for a Reid vapour pressure of 30 kPa to 110 kPa and −20 °C to 100 °C;
// otherwise NaN and an error that wraps [quantity.ErrOutOfRange]. Good to about
// 15 %: petrol is a mixture.
//
// Source: US EPA, AP-42, chapter 7.1, true vapour pressure of refined petroleum
// stocks, with a distillation slope of 3 for motor petrol; constants from memory.
func VapourPressure(reid quantity.Pressure, t quantity.Temperature) (quantity.Pressure, error) {
	nan := quantity.Pressure(math.NaN())
	if err := checkReid("VapourPressure", reid); err != nil {
		return nan, err
	}
	if c := t.Celsius(); !(c >= -20 && c <= 100) {
		return nan, outOfRange("VapourPressure", "temperature of the fuel", t.Kelvin(), quantity.Celsius(-20).Kelvin(), quantity.Celsius(100).Kelvin(), quantity.KindTemperature.Shown(), "")
	}
	return quantity.Pressure(vapour(float64(reid), t.Kelvin())), nil
}

func vapour(reid, kelvin float64) float64 {
	psi := quantity.KindPressure.Unit("psi")
	rankine := quantity.Kelvin(kelvin).Fahrenheit() - quantity.Kelvin(0).Fahrenheit()
	slope, log := math.Sqrt(3), math.Log10(psi.FromSI(reid))
	return psi.ToSI(1) * math.Exp((0.7553-413.0/rankine)*slope*log-(1.854-1042/rankine)*slope+(2416/rankine-2.013)*log-8742/rankine+15.64)
}

func checkReid(function string, reid quantity.Pressure) error {
	if !(reid >= 30e3 && reid <= 110e3) {
		return outOfRange(function, "Reid vapour pressure", float64(reid), 30e3, 110e3, quantity.KindPressure.Unit("kPa"), "")
	}
	return nil
}

// BoilingStart returns the temperature at which petrol of a Reid vapour
// pressure begins to boil at pressure p: that at the car for a float bowl,
// less in front of a pump that sucks. Valid for 50 kPa to 110 kPa; errors as for
// [VapourPressure].
func BoilingStart(reid, p quantity.Pressure) (quantity.Temperature, error) {
	nan := quantity.Kelvin(math.NaN())
	if err := checkReid("BoilingStart", reid); err != nil {
		return nan, err
	}
	if !(p >= 50e3 && p <= 110e3) {
		return nan, outOfRange("BoilingStart", "pressure on the fuel", float64(p), 50e3, 110e3, quantity.KindPressure.Shown(), "")
	}
	low, high := 253.15, 393.15
	for range 50 {
		middle := (low + high) / 2
		if vapour(float64(reid), middle) < float64(p) {
			low = middle
		} else {
			high = middle
		}
	}
	return quantity.Kelvin(low), nil
}

// Risk orders what hot fuel may do.
type Risk int

const (
	StaysLiquid Risk = iota
	MayBoil          // it boils if its volatility is at the upper end, or a little
	Boils            // well beyond the start of boiling
)

// String returns the risk in a few words.
func (r Risk) String() string {
	switch r {
	case StaysLiquid:
		return "the fuel stays liquid"
	case MayBoil:
		return "the fuel may begin to boil"
	case Boils:
		return "the fuel boils: vapour lock, or a flooded hot restart"
	}
	return "unknown"
}

// boilsWell is how far beyond the start of boiling an engine stumbles: little
// vapour at first. Common practice, no source.
const boilsWell = 10.0 // K

// Hot is what a temperature of fuel line or float bowl means.
type Hot struct {
	Fuel quantity.Temperature
	// Starts is where boiling starts, in K, between the bounds of the petrol.
	Starts estimate.Estimate
	Risk   Risk
	// Meaning is a sentence for the owner.
	Meaning  string
	Cautions []string
}

// AssessHot says what the hottest reading of a probe at fuel line, pump or
// float bowl means at the pressure at the car. Where there is no such probe, the
// bay's temperature after a stop is a bound from above that fuel comes near within
// ten minutes or so (common practice, no source).
//
// Errors are those of [BoilingStart] and, for temperatures outside −20 °C to
// 150 °C, wrap [quantity.ErrOutOfRange].
func AssessHot(fuel quantity.Temperature, p quantity.Pressure, v Volatility) (Hot, error) {
	h := Hot{Fuel: fuel, Starts: estimate.Unknown("start of boiling", quantity.KindTemperature.Shown(), "an input is outside its range")}
	if c := fuel.Celsius(); !(c >= -20 && c <= 150) {
		return h, outOfRange("AssessHot", "temperature of the fuel", fuel.Kelvin(), quantity.Celsius(-20).Kelvin(), quantity.Celsius(150).Kelvin(), quantity.KindTemperature.Shown(), "")
	}
	first, err := BoilingStart(v.High, p)
	if err != nil {
		return h, err
	}
	last, err := BoilingStart(v.Low, p)
	if err != nil {
		return h, err
	}
	h.Starts = estimate.Within("start of boiling", (first.Kelvin()+last.Kelvin())/2, quantity.KindTemperature.Shown(), first.Kelvin(), last.Kelvin())
	switch {
	case fuel.Compare(last.Add(quantity.KelvinDifference(boilsWell))) > 0:
		h.Risk = Boils
	case fuel.Compare(first) > 0:
		h.Risk = MayBoil
	}
	h.Meaning = fmt.Sprintf("%v at %v: petrol of this volatility begins to boil at %v to %v", h.Risk, fuel, first, last)
	h.Cautions = []string{
		"Fuel vapour burns and spreads: no open flame, no work on a hot fuel system; let it cool, and leave leaks to a licensed workshop.",
		"A colder intake does not cool fuel line and bowl by itself: what heats them after a stop is the engine.",
	}
	return h, nil
}

// String returns the meaning.
func (h Hot) String() string { return h.Meaning }

func outOfRange(function, what string, got, low, high float64, unit quantity.Unit, hint string) error {
	return quantity.OutOfRange("fuel."+function, what, got, low, high, unit, hint)
}
