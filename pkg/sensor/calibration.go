package sensor

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Calibration corrects one channel:
//
//	true = About + Gain·(reading − About) + Offset
//
// The zero value changes nothing. A calibration changes no file: it is applied
// to what was read, is named wherever the values are shown, and can be taken
// back with Undo.
type Calibration struct {
	// Offset is added to the reading.
	Offset quantity.TemperatureDifference
	// Gain is dimensionless; 0 means 1.
	Gain float64
	// About is the temperature at which Gain has no effect, in practice the
	// middle of the points that were measured; an invalid one means 0 °C.
	About quantity.Temperature
	// Uncertainty is the standard uncertainty of a corrected value, shared by
	// all samples of the channel; 0 if it is not known.
	Uncertainty quantity.TemperatureDifference
	// GainUncertainty is the standard uncertainty of Gain; it counts with the
	// distance from About.
	GainUncertainty float64
	// Note says in words how and when it was found.
	Note string
	// Warnings say what to check before the calibration is used.
	Warnings []estimate.Warning
}

// IsZero reports whether c changes nothing.
func (c Calibration) IsZero() bool { return c.Offset == 0 && (c.Gain == 0 || c.Gain == 1) }

func (c Calibration) gain() float64 {
	if c.Gain == 0 {
		return 1
	}
	return c.Gain
}

func (c Calibration) about() float64 {
	if c.About.IsValid() {
		return c.About.Kelvin()
	}
	return quantity.Celsius(0).Kelvin()
}

// Apply returns the corrected temperature of a reading.
func (c Calibration) Apply(reading quantity.Temperature) quantity.Temperature {
	return quantity.Kelvin(c.applyKelvin(reading.Kelvin()))
}

// Undo returns the reading that Apply made the temperature of.
func (c Calibration) Undo(corrected quantity.Temperature) quantity.Temperature {
	a := c.about()
	return quantity.Kelvin((corrected.Kelvin()-c.Offset.Kelvins()-a)/c.gain() + a)
}

func (c Calibration) applyKelvin(k float64) float64 {
	a := c.about()
	return a + c.gain()*(k-a) + c.Offset.Kelvins()
}

// ApplyAll returns corrected copies of readings in kelvin; missing values
// (NaN) stay missing.
func (c Calibration) ApplyAll(readings []float64) []float64 {
	v := make([]float64, len(readings))
	for i, k := range readings {
		v[i] = c.applyKelvin(k)
	}
	return v
}

// UncertaintyAt returns the standard uncertainty of a corrected value near t.
func (c Calibration) UncertaintyAt(t quantity.Temperature) quantity.TemperatureDifference {
	return quantity.KelvinDifference(math.Hypot(c.Uncertainty.Kelvins(), c.GainUncertainty*(t.Kelvin()-c.about())))
}

// String says what the calibration does.
func (c Calibration) String() string { return c.In(quantity.Preferred{}) }

// In says the same in the given units.
func (c Calibration) In(units quantity.Preferred) string {
	var parts []string
	if c.IsZero() {
		parts = append(parts, "no correction")
	} else {
		parts = append(parts, units.Say(quantity.KindTemperatureDifference, "%+.2f", c.Offset.Kelvins()))
	}
	if g := c.gain(); g != 1 {
		parts = append(parts, fmt.Sprintf("gain %.4f about %s", g, units.Say(quantity.KindTemperature, "%.0f", c.about())))
	}
	if c.Uncertainty > 0 {
		parts = append(parts, "standard uncertainty "+units.Say(quantity.KindTemperatureDifference, "%.2f", c.Uncertainty.Kelvins()))
	}
	if c.Note != "" {
		parts = append(parts, c.Note)
	}
	return strings.Join(parts, ", ")
}
