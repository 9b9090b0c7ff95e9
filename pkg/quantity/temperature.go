package quantity

import (
	"cmp"
	"encoding/json"
	"math"
)

// zeroCelsius is 0 °C in kelvin, exact (SI brochure, 9th edition, 2.3.1).
const zeroCelsius = 273.15

// Temperature is a thermodynamic temperature, stored in kelvin. The zero
// value is absolute zero, which every range check refuses.
//
// It is a struct on purpose: temperatures have no sum. Use [Temperature.Add]
// with a difference and [Temperature.Sub] for a difference.
type Temperature struct{ kelvin float64 }

// Kelvin returns the temperature of k kelvin.
func Kelvin(k float64) Temperature { return Temperature{k} }

// Celsius returns the temperature of c degrees Celsius.
func Celsius(c float64) Temperature { return Temperature{c + zeroCelsius} }

// Fahrenheit returns the temperature of f degrees Fahrenheit.
func Fahrenheit(f float64) Temperature { return Temperature{(f-32)/1.8 + zeroCelsius} }

// Kelvin returns t in kelvin.
func (t Temperature) Kelvin() float64 { return t.kelvin }

// Celsius returns t in degrees Celsius.
func (t Temperature) Celsius() float64 { return t.kelvin - zeroCelsius }

// Fahrenheit returns t in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return (t.kelvin-zeroCelsius)*1.8 + 32 }

// Add returns the temperature that lies d above t.
func (t Temperature) Add(d TemperatureDifference) Temperature {
	return Temperature{t.kelvin + float64(d)}
}

// Sub returns how far t lies above u.
func (t Temperature) Sub(u Temperature) TemperatureDifference {
	return TemperatureDifference(t.kelvin - u.kelvin)
}

// Compare returns -1 if t is colder than u, +1 if it is hotter, 0 if equal.
func (t Temperature) Compare(u Temperature) int { return cmp.Compare(t.kelvin, u.kelvin) }

// IsValid reports whether t is a finite temperature above absolute zero.
func (t Temperature) IsValid() bool { return t.kelvin > 0 && !math.IsInf(t.kelvin, 0) }

// String returns t in degrees Celsius with one decimal, such as "21.4 °C".
func (t Temperature) String() string { return text("%.1f °C", t.Celsius()) }

// MarshalJSON writes t in kelvin. It fails for a temperature that is not
// finite, which JSON can't hold.
func (t Temperature) MarshalJSON() ([]byte, error) { return json.Marshal(t.kelvin) }

// TemperatureDifference is a difference of two temperatures in kelvin.
// 1 K = 1 °C = 1.8 °F of difference; the 32 of the Fahrenheit scale belongs
// to temperatures only.
type TemperatureDifference float64

// KelvinDifference returns a difference of k kelvin.
func KelvinDifference(k float64) TemperatureDifference { return TemperatureDifference(k) }

// CelsiusDifference returns a difference of c degrees Celsius, which is c kelvin.
func CelsiusDifference(c float64) TemperatureDifference { return TemperatureDifference(c) }

// FahrenheitDifference returns a difference of f degrees Fahrenheit:
// 90 °F of difference are 50 K.
func FahrenheitDifference(f float64) TemperatureDifference { return TemperatureDifference(f / 1.8) }

// Kelvins returns d in kelvin.
func (d TemperatureDifference) Kelvins() float64 { return float64(d) }

// FahrenheitDegrees returns d in degrees Fahrenheit of difference.
func (d TemperatureDifference) FahrenheitDegrees() float64 { return float64(d) * 1.8 }

// String returns d in kelvin with one decimal, such as "30.0 K".
func (d TemperatureDifference) String() string { return text("%.1f K", float64(d)) }
