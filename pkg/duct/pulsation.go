package duct

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// PulsationFactor returns by how much the mean loss of a pulsating flow
// exceeds the loss of the same mean flow when steady, where loss goes with the
// square of flow: mean(Q²)/mean(Q)², and the peak flow over the mean.
//
// Each of n cylinders draws a half-sine of flow over opening degrees of
// crankshaft angle in every 720°, evenly spaced: four cylinders and 180° make
// a rectified sine, factor π²/8 = 1.234 and peak π/2. It is the upper bound of
// quasi-steady flow straight into the carburettor; a filter box of several
// times the engine's displacement between evens it out towards 1. Valid for 1
// to 16 cylinders and 90° to 320°; otherwise NaN and an error that wraps
// [ErrOutOfRange].
//
// Source: common practice; the two means are computed, not quoted.
func PulsationFactor(cylinders int, opening float64) (loss, peak float64, err error) {
	if cylinders < 1 || cylinders > 16 {
		return math.NaN(), math.NaN(), rangeError("PulsationFactor", "cylinders", float64(cylinders), 1, 16, plain, "")
	}
	if !(opening >= 90 && opening <= 320) {
		return math.NaN(), math.NaN(), rangeError("PulsationFactor", "opening", opening*float64(quantity.Degree), 90*float64(quantity.Degree), 320*float64(quantity.Degree), quantity.KindAngle.Shown(), "degrees of crankshaft angle")
	}
	const steps = 1440
	period := 720.0 / float64(cylinders)
	var sum, squares, most float64
	for i := range steps {
		angle := period * (float64(i) + 0.5) / steps
		q := 0.0
		// Cylinders that opened earlier and still draw.
		for x := angle; x < opening; x += period {
			q += math.Sin(math.Pi * x / opening)
		}
		sum += q
		squares += q * q
		most = math.Max(most, q)
	}
	mean := sum / steps
	return squares / steps / (mean * mean), most / mean, nil
}
