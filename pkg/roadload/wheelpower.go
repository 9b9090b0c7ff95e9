package roadload

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// WheelPower returns the power at the wheels for one instant.
//
//	P = (M_e·a + M·g·sin θ + F0 + F1·v + F2·v²)·v
//
// a is the acceleration in m/s², grade the slope as rise over run, positive
// uphill. Still air. Valid for speeds up to 90 m/s, accelerations up to
// 10 m/s², slopes up to 0.3 and finite road loads; otherwise NaN and an error that wraps
// [ErrOutOfRange]. Engine power is higher by the losses of the drive train,
// about 10 % to 15 % (common practice).
//
// Source: equation of motion of ISO 10521.
func WheelPower(vehicle Vehicle, load RoadLoad, v quantity.Speed, a quantity.Acceleration, grade float64) (quantity.Power, error) {
	nan := quantity.Power(math.NaN())
	m, me, err := vehicle.effective("WheelPower")
	if err == nil {
		err = load.check("WheelPower")
	}
	switch {
	case err != nil:
		return nan, err
	case !(v >= 0 && v <= 90):
		return nan, rangeError("WheelPower", "speed", float64(v), 0, 90, quantity.KindSpeed.SI(), "km/h are quantity.KilometrePerHour")
	case !(math.Abs(float64(a)) <= 10):
		return nan, rangeError("WheelPower", "acceleration", float64(a), -10, 10, quantity.KindAcceleration.SI(), "")
	case !(math.Abs(grade) <= 0.3):
		return nan, rangeError("WheelPower", "slope", grade, -0.3, 0.3, plain, "0.05 means 5 %")
	}
	return quantity.Power(wheelPower(m, me, load, float64(v), float64(a), grade)), nil
}

func wheelPower(m, me float64, l RoadLoad, v, a, grade float64) float64 {
	sin := grade / math.Sqrt(1+grade*grade)
	return (me*a + m*gravity*sin + l.F0 + l.F1*v + l.F2*v*v) * v
}

// TraceOptions says how a speed trace is turned into power. Start from
// DefaultTraceOptions; a field that is zero takes its default.
type TraceOptions struct {
	// Width is the length of the straight line fitted through neighbouring
	// speeds for the acceleration, in s; zero takes 4.
	Width float64
	// Gap is the longest step in s that is bridged; zero takes 2.5.
	Gap float64
	// Grade is the slope over the same times as the speed; nil is level.
	Grade []float64
}

// DefaultTraceOptions fits over 4 s and bridges 2.5 s, on a level road.
func DefaultTraceOptions() TraceOptions { return TraceOptions{Width: 4, Gap: 2.5} }

// PowerTrace returns the power at the wheels over time from a speed trace.
// The acceleration is the slope of a straight line fitted over Width, because
// a difference of neighbouring 1 Hz speeds with 0.1 m/s of noise has a standard
// deviation of 0.14 m/s², 5 % of brisk acceleration. The peaks are flattened
// accordingly: take energy or time over an interval for comparisons, see
// [TimesOver]. Missing speeds and slopes give missing power. It fails for a series
// that is no speed, and, wrapping [ErrOutOfRange], for slopes that are not as
// many or steeper than 0.3, for options, and for a vehicle or road load that
// can't be.
func PowerTrace(vehicle Vehicle, load RoadLoad, speed *series.Series, opt TraceOptions) (*series.Series, error) {
	m, me, err := vehicle.effective("PowerTrace")
	if err == nil {
		err = load.check("PowerTrace")
	}
	if err != nil {
		return nil, err
	}
	if speed.Dimension != series.Speed {
		return nil, fmt.Errorf("roadload.PowerTrace: series %q is a %v, want a %v", speed.Name, speed.Dimension, series.Speed)
	}
	if err := checkTrace("PowerTrace", speed); err != nil {
		return nil, err
	}
	if opt.Grade != nil && len(opt.Grade) != speed.Len() {
		return nil, rangeError("PowerTrace", "number of slopes", float64(len(opt.Grade)), float64(speed.Len()), float64(speed.Len()), plain, "one for each speed")
	}
	if opt.Width == 0 {
		opt.Width = 4
	}
	if opt.Gap == 0 {
		opt.Gap = 2.5
	}
	if err := inRanges("PowerTrace", []bounded{
		{"width", opt.Width, 0.01, 600, quantity.KindDuration.SI(), ""},
		{"gap", opt.Gap, 0, 600, quantity.KindDuration.SI(), ""},
	}); err != nil {
		return nil, err
	}
	for _, grade := range opt.Grade {
		if math.Abs(grade) > 0.3 {
			return nil, rangeError("PowerTrace", "slope", grade, -0.3, 0.3, plain, "0.05 means 5 %; NaN where it is not known")
		}
	}
	smooth, slope := speed.Smooth(opt.Width, opt.Gap), speed.Slope(opt.Width, opt.Gap)
	p := make([]float64, speed.Len())
	for i := range p {
		grade := 0.0
		if opt.Grade != nil {
			grade = opt.Grade[i]
		}
		p[i] = wheelPower(m, me, load, smooth.Value[i], slope.Value[i], grade)
	}
	return speed.With(speed.Name+" wheel power", series.Power, p), nil
}

// checkTrace refuses times that do not ascend and speeds that no car has.
func checkTrace(function string, speed *series.Series) error {
	if err := speed.Check(); err != nil {
		return fmt.Errorf("roadload.%s: %w", function, err)
	}
	for i, v := range speed.Value {
		if v < -10 || v > 150 { // NaN is missing
			return rangeError(function, fmt.Sprintf("speed number %d,", i+1), v, -10, 150, quantity.KindSpeed.Shown(), "make what was not measured NaN")
		}
	}
	return nil
}
