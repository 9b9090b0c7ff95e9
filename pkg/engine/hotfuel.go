package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Volatility is how easily petrol boils: bounds of its Reid vapour pressure, at
// 37.8 °C.
type Volatility struct{ Low, High quantity.Pressure }

// SummerPetrol is 45 kPa to 60 kPa, as sold in temperate summers (EN 228, class
// A, from memory). [WinterPetrol] is 60 kPa to 90 kPa. Winter petrol in a warm
// spring is the usual cause of vapour lock.
func SummerPetrol() Volatility { return Volatility{45e3, 60e3} }

// WinterPetrol is 60 kPa to 90 kPa (EN 228, classes D to E, from memory).
func WinterPetrol() Volatility { return Volatility{60e3, 90e3} }

// FuelVapourPressure returns the pressure at which petrol of a Reid vapour
// pressure begins to boil at temperature t.
//
// Valid for a Reid vapour pressure of 30 kPa to 110 kPa and −20 °C to 100 °C; otherwise NaN and an
// error that wraps [ErrOutOfRange]. Good to about 15 %: petrol is a mixture.
//
// Source: US EPA, AP-42, chapter 7.1, true vapour pressure of refined petroleum
// stocks, with a distillation slope of 3 for motor petrol; constants from memory.
func FuelVapourPressure(reid quantity.Pressure, t quantity.Temperature) (quantity.Pressure, error) {
	nan := quantity.Pressure(math.NaN())
	if err := checkReid("FuelVapourPressure", reid); err != nil {
		return nan, err
	}
	if c := t.Celsius(); !(c >= -20 && c <= 100) {
		return nan, rangeError("FuelVapourPressure", "temperature of the fuel", t.Kelvin(), quantity.Celsius(-20).Kelvin(), quantity.Celsius(100).Kelvin(), quantity.KindTemperature.Shown(), "")
	}
	return quantity.Pressure(fuelVapour(float64(reid), t.Kelvin())), nil
}

const psi = 6894.757 // Pa

func fuelVapour(reid, kelvin float64) float64 {
	rankine, slope, log := 1.8*kelvin, math.Sqrt(3), math.Log10(reid/psi)
	return psi * math.Exp((0.7553-413.0/rankine)*slope*log-(1.854-1042/rankine)*slope+(2416/rankine-2.013)*log-8742/rankine+15.64)
}

func checkReid(function string, reid quantity.Pressure) error {
	if !(reid >= 30e3 && reid <= 110e3) {
		return rangeError(function, "Reid vapour pressure", float64(reid), 30e3, 110e3, quantity.KindPressure.Unit("kPa"), "")
	}
	return nil
}

// BoilingStart returns the temperature at which petrol of a Reid vapour
// pressure begins to boil at pressure p: that at the car for a float bowl,
// less in front of a pump that sucks. Valid for 50 kPa to 110 kPa; errors as for
// [FuelVapourPressure].
func BoilingStart(reid, p quantity.Pressure) (quantity.Temperature, error) {
	nan := quantity.Kelvin(math.NaN())
	if err := checkReid("BoilingStart", reid); err != nil {
		return nan, err
	}
	if !(p >= 50e3 && p <= 110e3) {
		return nan, rangeError("BoilingStart", "pressure on the fuel", float64(p), 50e3, 110e3, quantity.KindPressure.Shown(), "")
	}
	low, high := 253.15, 393.15
	for range 50 {
		middle := (low + high) / 2
		if fuelVapour(float64(reid), middle) < float64(p) {
			low = middle
		} else {
			high = middle
		}
	}
	return quantity.Kelvin(low), nil
}

// HotFuelRisk orders what hot fuel may do.
type HotFuelRisk int

const (
	FuelStaysLiquid HotFuelRisk = iota
	FuelMayBoil                 // it boils if its volatility is at the upper end, or a little
	FuelBoils                   // well beyond the start of boiling
)

// String returns the risk in a few words.
func (r HotFuelRisk) String() string {
	switch r {
	case FuelStaysLiquid:
		return "the fuel stays liquid"
	case FuelMayBoil:
		return "the fuel may begin to boil"
	case FuelBoils:
		return "the fuel boils: vapour lock, or a flooded hot restart"
	}
	return "unknown"
}

// boilsWell is how far beyond the start of boiling an engine stumbles: little
// vapour at first. Common practice, no source.
const boilsWell = 10.0 // K

// HotFuel is what a temperature of fuel line or float bowl means.
type HotFuel struct {
	Fuel quantity.Temperature
	// Starts is where boiling starts, in K, between the bounds of the petrol.
	Starts estimate.Estimate
	Risk   HotFuelRisk
	// Meaning is a sentence for the owner.
	Meaning  string
	Cautions []string
}

// AssessHotFuel says what the hottest reading of a probe at fuel line, pump or
// float bowl means at the pressure at the car. Where there is no such probe, the
// bay's temperature after a stop is a bound from above that fuel comes near within
// ten minutes or so (common practice, no source).
//
// Errors are those of [BoilingStart] and, for temperatures outside −20 °C to
// 150 °C, wrap [ErrOutOfRange].
func AssessHotFuel(fuel quantity.Temperature, p quantity.Pressure, v Volatility) (HotFuel, error) {
	h := HotFuel{Fuel: fuel, Starts: estimate.Unknown("start of boiling", quantity.KindTemperature.Shown(), "an input is outside its range")}
	if c := fuel.Celsius(); !(c >= -20 && c <= 150) {
		return h, rangeError("AssessHotFuel", "temperature of the fuel", fuel.Kelvin(), quantity.Celsius(-20).Kelvin(), quantity.Celsius(150).Kelvin(), quantity.KindTemperature.Shown(), "")
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
		h.Risk = FuelBoils
	case fuel.Compare(first) > 0:
		h.Risk = FuelMayBoil
	}
	h.Meaning = fmt.Sprintf("%v at %v: petrol of this volatility begins to boil at %v to %v", h.Risk, fuel, first, last)
	h.Cautions = []string{
		"Fuel vapour burns and spreads: no open flame, no work on a hot fuel system; let it cool, and leave leaks to a licensed workshop.",
		"A colder intake does not cool fuel line and bowl by itself: what heats them after a stop is the engine.",
	}
	return h, nil
}

// String returns the meaning.
func (h HotFuel) String() string { return h.Meaning }
