package engine

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Standard is a published formula that reduces the measured full-throttle
// power of a naturally aspirated spark-ignition engine to reference air.
type Standard int

const (
	// ISO1585 is α = (99 kPa/p_d)^1.2·(T/298 K)^0.6, with p_d the dry air
	// pressure. ISO 1585, the same formula in UN Regulation No. 85, annex 5, for
	// positive ignition; taken from two public quotes of the formula, the text
	// itself was not seen. Reference 25 °C and 99 kPa dry; from memory: holds for 0.93 ≤ α ≤ 1.07, 288 K ≤ T ≤ 308 K, 80 kPa ≤ p_d ≤ 110 kPa. T is
	// measured in the air stream at the inlet, ahead of the air filter.
	ISO1585 Standard = iota
	// SAEJ1349 is k = 1.180·(99 kPa/p_d)·(T/298 K)^0.5 − 0.180, SAE J1349
	// (June 1990), as quoted publicly by two sources; it takes friction as
	// 15 % of the indicated power. T is t/°C + 273 as printed. Reference 25 °C
	// and 99 kPa dry; from memory: holds for 15 °C to 35 °C and a correction of
	// at most 7 %.
	SAEJ1349
	// DIN70020 is k = (1013 mbar/p)·(T/293 K)^0.5 with the total air pressure,
	// DIN 70020 part 6 (1976), as quoted publicly by two sources. Reference
	// 20 °C and 1013 mbar; humidity is ignored.
	DIN70020
)

// Standards lists the correction formulas.
func Standards() []Standard { return []Standard{ISO1585, SAEJ1349, DIN70020} }

// String returns the standard's name.
func (s Standard) String() string {
	switch s {
	case ISO1585:
		return "ISO 1585"
	case SAEJ1349:
		return "SAE J1349"
	case DIN70020:
		return "DIN 70020"
	}
	return "unknown standard"
}

// Reference returns the air for which the factor is 1: its temperature and
// its pressure, dry for ISO 1585 and SAE J1349, total for DIN 70020.
func (s Standard) Reference() (t quantity.Temperature, p quantity.Pressure, dry bool) {
	switch s {
	case ISO1585:
		return quantity.Kelvin(298), 99 * quantity.Kilopascal, true
	case SAEJ1349:
		return quantity.Kelvin(298.15), 99 * quantity.Kilopascal, true
	case DIN70020:
		return quantity.Kelvin(293), 1013 * quantity.Hectopascal, false
	}
	return quantity.Kelvin(math.NaN()), quantity.Pressure(math.NaN()), false
}

// factor is the bare formula: T in K, dry and total pressure in Pa.
func (s Standard) factor(T, dry, total float64) float64 {
	switch s {
	case ISO1585:
		return math.Pow(99e3/dry, 1.2) * math.Pow(T/298, 0.6)
	case SAEJ1349:
		return 1.180*(99e3/dry)*math.Sqrt((T-0.15)/298) - 0.180
	case DIN70020:
		return 101300 / total * math.Sqrt(T/293)
	}
	return math.NaN()
}

// Factor is a correction factor: power at reference air = Value × measured
// power.
type Factor struct {
	Standard Standard
	Value    float64
	Air      air.State
	// Extrapolated is true outside the standard's own window of validity.
	Extrapolated bool
	// Outside lists which limits of the window are passed.
	Outside []string
}

// Factor returns the factor by which full-throttle power measured in air a is
// multiplied for the standard's reference air. Air outside the standard's
// window is no error: the factor is computed and marked. An invalid state
// gives NaN and an error that wraps [air.ErrOutOfRange].
func (s Standard) Factor(a air.State) (Factor, error) {
	f := Factor{Standard: s, Value: math.NaN(), Air: a}
	if err := a.Check(); err != nil {
		return f, fmt.Errorf("engine.Factor (%v): %w", s, err)
	}
	if s < ISO1585 || s > DIN70020 {
		return f, rangeError("Factor", "standard number", float64(s), float64(ISO1585), float64(DIN70020), plain, "")
	}
	f.Value = s.factor(a.Temperature.Kelvin(), float64(a.DryPressure()), float64(a.Pressure))
	f.Outside = s.outside(a, f.Value)
	f.Extrapolated = len(f.Outside) > 0
	return f, nil
}

func (s Standard) outside(a air.State, k float64) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	t, c := a.Temperature.Kelvin(), a.Temperature.Celsius()
	switch s {
	case ISO1585:
		if t < 288 || t > 308 {
			add("%.1f °C is outside 15 °C to 35 °C", c)
		}
		if d := a.DryPressure().Kilopascals(); d < 80 || d > 110 {
			add("dry pressure %.1f kPa is outside 80 kPa to 110 kPa", d)
		}
		if k < 0.93 || k > 1.07 {
			add("factor %.3f is outside 0.93 to 1.07", k)
		}
	case SAEJ1349:
		if c < 15 || c > 35 {
			add("%.1f °C is outside 15 °C to 35 °C", c)
		}
		if k < 0.93 || k > 1.07 {
			add("factor %.3f is outside 0.93 to 1.07", k)
		}
	case DIN70020:
		// The public quotes state no window; the one of the two others is taken.
		if c < 15 || c > 35 {
			add("%.1f °C is outside 15 °C to 35 °C (the window of the other two; none is known for DIN 70020)", c)
		}
	}
	return out
}

// String returns the factor and, where it is one, that it is extrapolated.
func (f Factor) String() string {
	s := fmt.Sprintf("%v: %.4f", f.Standard, f.Value)
	if f.Extrapolated {
		s += " (extrapolated: " + strings.Join(f.Outside, "; ") + ")"
	}
	return s
}
