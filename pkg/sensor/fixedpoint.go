package sensor

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// FixedPoint is a channel's reading at a temperature that is known.
type FixedPoint struct {
	Name               string
	True               quantity.Temperature
	TrueUncertainty    quantity.TemperatureDifference // standard
	Reading            quantity.Temperature
	ReadingUncertainty quantity.TemperatureDifference // standard
}

// String says what was read and what is true, each with its standard
// uncertainty.
func (p FixedPoint) String() string { return p.In(quantity.Preferred{}) }

// In says the same in the given units.
func (p FixedPoint) In(units quantity.Preferred) string {
	return fmt.Sprintf("%s: reads %s, is %s: %s (standard uncertainties %s and %s)", p.Name,
		units.Say(quantity.KindTemperature, "%.1f", p.Reading.Kelvin()), units.Say(quantity.KindTemperature, "%.1f", p.True.Kelvin()),
		kelvins(units, "%+.1f", p.Reading.Sub(p.True).Kelvins()), kelvins(units, "%.2g", p.ReadingUncertainty.Kelvins()), kelvins(units, "%.2g", p.TrueUncertainty.Kelvins()))
}

// Standard uncertainties of the kitchen's fixed points: crushed ice made from
// drinking water, packed wet and stirred; a rolling boil with the probe in the
// water, not in the steam. A state's food inspectors (Wisconsin, fact sheet 7)
// take the one for good to 0.1 °F and the other to 1 °F; ice of hard water is
// colder (common practice).
const (
	icePointUncertainty = 0.1  // K
	boilingUncertainty  = 0.35 // K, besides that of the pressure
)

// IcePoint returns the fixed point of a stirred slush of crushed ice and
// water: 0 °C. Pressure moves it by 0.0075 K per bar, which is ignored.
func IcePoint(r Settled) FixedPoint {
	return FixedPoint{"ice point", quantity.Celsius(0), quantity.KelvinDifference(icePointUncertainty), r.Mean, r.Uncertainty}
}

// BoilingPoint returns the fixed point of boiling water at the absolute
// pressure p of the place and day, with the standard uncertainty of p. At
// 1000 m water boils at about 96.7 °C: a pressure reduced to sea level would
// be wrong by more than the probe.
//
// Boiling water and steam scald: fix the probe and its cable before the water
// boils, keep hands and face away, and keep the logger dry.
//
// Pressures outside 500 hPa to 1100 hPa and negative uncertainties give an
// error that wraps ErrOutOfRange.
func BoilingPoint(r Settled, p, uncertainty quantity.Pressure) (FixedPoint, error) {
	if p < 50*quantity.Kilopascal || p > 110*quantity.Kilopascal {
		return FixedPoint{}, quantity.OutOfRange("sensor.BoilingPoint", "pressure", float64(p), 50e3, 110e3, quantity.KindPressure.Shown(), "")
	}
	t, err := SaturationTemperature(p)
	if err != nil {
		return FixedPoint{}, err
	}
	warmer, err := SaturationTemperature(p + uncertainty)
	if err != nil || uncertainty < 0 {
		return FixedPoint{}, quantity.OutOfRange("sensor.BoilingPoint", "uncertainty of the pressure", float64(uncertainty), 0, float64(saturationHigh-p), quantity.KindPressure.Shown(), "")
	}
	u := math.Hypot(boilingUncertainty, warmer.Sub(t).Kelvins())
	return FixedPoint{fmt.Sprintf("boiling at %.0f hPa", p.Hectopascals()), t, quantity.KelvinDifference(u), r.Mean, r.Uncertainty}, nil
}

// Calibrate returns the correction that makes a channel's readings agree with
// fixed points: an offset from one, offset and gain from two or more, each
// weighed by its uncertainty (weighted least squares; JCGM 100:2008, H.3, with
// weights). Points that contradict each other are told in Warnings and widen
// the uncertainty.
//
// It fails without a point, for a point whose temperatures or uncertainty are
// not known, and for a reading that is more than 20 K off.
func Calibrate(points ...FixedPoint) (Calibration, error) {
	if len(points) == 0 {
		return Calibration{}, fmt.Errorf("sensor.Calibrate: no fixed point is given")
	}
	var w, mx, mc float64
	weights := make([]float64, len(points))
	note := ""
	for i, p := range points {
		u := math.Hypot(p.TrueUncertainty.Kelvins(), p.ReadingUncertainty.Kelvins())
		correction := p.True.Sub(p.Reading).Kelvins()
		if !p.True.IsValid() || !p.Reading.IsValid() || !(u > 0 && u < 100) {
			return Calibration{}, fmt.Errorf("sensor.Calibrate: %s: true %v, reading %v, uncertainty %s: not usable", p.Name, p.True, p.Reading, inBoth("%.3g", u))
		}
		if math.Abs(correction) > 20 {
			return Calibration{}, fmt.Errorf("sensor.Calibrate: %s: the reading is %s off; that is a fault or another channel, not a calibration", p.Name, inBoth("%.1f", -correction))
		}
		weights[i] = 1 / (u * u)
		w += weights[i]
		mx += weights[i] * p.Reading.Kelvin()
		mc += weights[i] * correction
		if i > 0 {
			note += ", "
		}
		note += p.Name
	}
	mx, mc = mx/w, mc/w
	var sxx, sxc float64
	for i, p := range points {
		d := p.Reading.Kelvin() - mx
		sxx += weights[i] * d * d
		sxc += weights[i] * d * (p.True.Sub(p.Reading).Kelvins() - mc)
	}
	c := Calibration{Offset: quantity.KelvinDifference(mc), About: quantity.Kelvin(mx), Uncertainty: quantity.KelvinDifference(1 / math.Sqrt(w)), Note: note}
	if len(points) == 1 {
		return c, nil
	}
	if sxx*square(0.05) < 1 {
		c.Warnings = append(c.Warnings, estimate.Warning{Kind: estimate.FewData, Subject: "fixed points", Text: "they lie too close together for a gain; only an offset is given"})
		return c.checked(points, weights, len(points)-1), nil
	}
	c.Gain = 1 + sxc/sxx
	c.GainUncertainty = 1 / math.Sqrt(sxx)
	return c.checked(points, weights, len(points)-2), nil
}

// checked compares the points with the fit and widens its uncertainty where
// they contradict it.
func (c Calibration) checked(points []FixedPoint, weights []float64, freedom int) Calibration {
	if freedom < 1 {
		return c
	}
	chi2 := 0.0
	for i, p := range points {
		chi2 += weights[i] * square(p.True.Sub(c.Apply(p.Reading)).Kelvins())
	}
	if ratio := math.Sqrt(chi2 / float64(freedom)); ratio > 2 {
		c.Uncertainty *= quantity.TemperatureDifference(ratio)
		c.GainUncertainty *= ratio
		c.Warnings = append(c.Warnings, estimate.Warning{Kind: estimate.Disagreement, Subject: "fixed points", Text: fmt.Sprintf("they contradict each other: they scatter %.1f times as much as their uncertainties allow; the uncertainty was widened", ratio)})
	}
	return c
}
