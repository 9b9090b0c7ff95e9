package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// formula is what a [Standard] says. Its literals name no fields, so that one
// without a part does not compile.
type formula struct {
	standard  Standard
	name      string
	reference reference
	// factor is k: T in K, dry and total pressure in Pa.
	factor func(T, dry, total float64) float64
	// outside lists the limits of the standard's window that a state or its
	// factor k passes.
	outside func(a air.State, k float64) []string
}

// reference is the air for which k is 1.
type reference struct {
	kelvin   float64
	pressure quantity.Pressure
	dry      bool // the pressure is that of the dry air
}

// formulas holds one formula for each standard, in their order.
var formulas = [...]formula{
	{ISO1585, "ISO 1585", reference{298, 99 * quantity.Kilopascal, true},
		func(T, dry, _ float64) float64 { return math.Pow(99e3/dry, 1.2) * math.Pow(T/298, 0.6) },
		func(a air.State, k float64) []string {
			var w window
			w.temperature(a, " (288 K to 308 K)")
			if d := asShown(a.DryPressure().Kilopascals(), 1); d < 80 || d > 110 {
				w.add("dry pressure %.1f kPa is outside 80 kPa to 110 kPa", d)
			}
			w.factor(k)
			return w
		}},
	{SAEJ1349, "SAE J1349", reference{298.15, 99 * quantity.Kilopascal, true},
		func(T, dry, _ float64) float64 { return 1.180*(99e3/dry)*math.Sqrt((T-0.15)/298) - 0.180 },
		func(a air.State, k float64) []string {
			var w window
			w.temperature(a, "")
			w.factor(k)
			return w
		}},
	{DIN70020, "DIN 70020", reference{293, 1013 * quantity.Hectopascal, false},
		func(T, _, total float64) float64 { return 101300 / total * math.Sqrt(T/293) },
		func(a air.State, _ float64) []string {
			var w window
			// The public quotes state no window; the one of the two others is taken.
			w.temperature(a, " (the window of the other two; none is known for DIN 70020)")
			return w
		}},
	// The formula of a new standard stands above this line.
}

// A standard without a formula, or a formula without a standard, stops the
// build here: the two arrays have different lengths.
var _ [standards]formula = formulas

// window collects the limits that are passed.
type window []string

func (w *window) add(format string, args ...any) { *w = append(*w, fmt.Sprintf(format, args...)) }

// temperature says the standard's limits as it does, in °C, and for who reads in
// °F, in those.
func (w *window) temperature(a air.State, note string) {
	if c := asShown(a.Temperature.Celsius(), 1); c < 15 || c > 35 {
		w.add("%.1f °C (%.1f °F) is outside 15 °C to 35 °C (59 °F to 95 °F)%s", c, a.Temperature.Fahrenheit(), note)
	}
}

func (w *window) factor(k float64) {
	if k = asShown(k, 3); k < 0.93 || k > 1.07 {
		w.add("factor %.3f is outside 0.93 to 1.07", k)
	}
}

// asShown rounds to the digits that are shown. The limits are round numbers: a
// value that is shown as the limit is at it, not outside. ISO 1585's kelvins
// are 273 more than its degrees Celsius, so that 308 K are 35 °C.
func asShown(x float64, digits int) float64 {
	scale := math.Pow10(digits)
	return math.Round(x*scale) / scale
}
