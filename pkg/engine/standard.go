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

	standards // how many there are; a new one stands above this line
)

// Standards lists the correction formulas.
func Standards() []Standard {
	all := make([]Standard, standards)
	for i := range all {
		all[i] = Standard(i)
	}
	return all
}

// String returns the standard's name.
func (s Standard) String() string {
	if !s.known() {
		return "unknown standard"
	}
	return formulas[s].name
}

// Reference returns the air for which the factor is 1: its temperature and
// its pressure, dry for ISO 1585 and SAE J1349, total for DIN 70020.
func (s Standard) Reference() (t quantity.Temperature, p quantity.Pressure, dry bool) {
	if !s.known() {
		return quantity.Kelvin(math.NaN()), quantity.Pressure(math.NaN()), false
	}
	r := formulas[s].reference
	return quantity.Kelvin(r.kelvin), r.pressure, r.dry
}

func (s Standard) known() bool { return s >= 0 && s < standards }

// factor is the bare formula: T in K, dry and total pressure in Pa.
func (s Standard) factor(T, dry, total float64) float64 { return formulas[s].factor(T, dry, total) }

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
	if !s.known() {
		return f, rangeError("Factor", "standard number", float64(s), 0, float64(standards-1), plain, "")
	}
	f.Value = s.factor(a.Temperature.Kelvin(), float64(a.DryPressure()), float64(a.Pressure))
	f.Outside = formulas[s].outside(a, f.Value)
	f.Extrapolated = len(f.Outside) > 0
	return f, nil
}

// String returns the factor and, where it is one, that it is extrapolated.
func (f Factor) String() string {
	s := fmt.Sprintf("%v: %.4f", f.Standard, f.Value)
	if f.Extrapolated {
		s += " (extrapolated: " + strings.Join(f.Outside, "; ") + ")"
	}
	return s
}
