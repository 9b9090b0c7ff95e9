package duct

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// mouthWarmer is by how much more than stated the mouth may be warmer on the
// road, idleMouthWarmer by how much standing: up to 20 K above outside, the
// hottest that an owner found on an open filter of a standing car.
const mouthWarmer, idleMouthWarmer = 5.0, 15.0 // K

// prepareMouth sets the rises at the mouth that are not stated, and refuses
// those that can't be.
func (x *Installation) prepareMouth() error {
	if x.MouthRiseLow == 0 && x.MouthRiseHigh == 0 {
		x.MouthRiseLow, x.MouthRiseHigh = x.MouthRise/2, x.MouthRise+mouthWarmer
	}
	if err := checkRise("rise at the mouth", x.MouthRiseLow, x.MouthRise, x.MouthRiseHigh, 60, x.Units); err != nil {
		return err
	}
	if x.IdleMouthRise == 0 {
		x.IdleMouthRise = x.MouthRiseHigh
	}
	if x.IdleMouthRiseLow == 0 && x.IdleMouthRiseHigh == 0 {
		x.IdleMouthRiseLow, x.IdleMouthRiseHigh = min(x.MouthRiseLow, x.IdleMouthRise), x.IdleMouthRise+idleMouthWarmer
	}
	return checkRise("rise at the mouth at idle", x.IdleMouthRiseLow, x.IdleMouthRise, x.IdleMouthRiseHigh, 80, x.Units)
}

// checkRise refuses a rise above the most, and bounds that do not enclose it, and
// says so in the given units.
func checkRise(what string, low, rise, high, most quantity.TemperatureDifference, units quantity.Preferred) error {
	unit := units.Of(quantity.KindTemperatureDifference)
	if !(rise >= 0 && rise <= most) {
		return rangeError("Installation", what, float64(rise), 0, float64(most), unit, "")
	}
	if !(low >= 0 && low <= rise && rise <= high && high <= most+20) {
		return rangeError("Installation", fmt.Sprintf("%s, %s between %s and", what, kelvins(units, rise.Kelvins()), kelvins(units, low.Kelvins())), float64(high), 0, float64(most+20), unit, "bounds on both sides of the rise")
	}
	return nil
}

// kelvins writes a difference in K in somebody's units.
func kelvins(units quantity.Preferred, k float64) string {
	return units.Say(quantity.KindTemperatureDifference, "%.1f", k)
}

// mouthAir is the air at the duct's mouth with its bounds.
type mouthAir struct{ cool, typical, warm air.State }

func (x Installation) mouths(low, typical, high quantity.TemperatureDifference) (m mouthAir, err error) {
	for _, k := range []struct {
		to   *air.State
		rise quantity.TemperatureDifference
	}{{&m.cool, low}, {&m.typical, typical}, {&m.warm, high}} {
		if *k.to, err = x.Outside.Heated(x.Outside.Temperature.Add(k.rise)); err != nil {
			return m, fmt.Errorf("duct's mouth: %w", err)
		}
	}
	return m, nil
}
