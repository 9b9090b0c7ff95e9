package verdict

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// MoreAir is how many times the air of a steady drive an engine draws at full
// throttle. Common practice, no source.
const MoreAir = 5.0

// atFullThrottle brackets what a change of the rise at part throttle is in a
// short pull at full throttle. Air that is drawn from a hot place is as hot then:
// the change stays. Heat that a given wall gives off goes into more air: the
// change is divided by MoreAir. Turbulent pick-up (flow to the power −0.2, F. W.
// Dittus, L. M. K. Boelter 1930) lies between the two. So the end that lies
// nearer to zero moves towards it; zero inside stays where it is.
func atFullThrottle(change estimate.Interval) estimate.Interval {
	switch {
	case change.High < 0:
		change.High /= MoreAir
	case change.Low > 0:
		change.Low /= MoreAir
	}
	return change
}

// predict is the worth of the primary's change at full throttle, where no pull
// could be compared: ends of a bracket, no measurement. nil where the primary
// can't be compared either, or the air is too far off.
func predict(differences []compare.Difference, outside air.State) *compare.Worth {
	for _, d := range differences {
		if !d.Primary || d.AtFullThrottle || d.Verdict == compare.NotComparable || !d.Change.Known() {
			continue
		}
		v := atFullThrottle(d.Change.Interval)
		middle := (v.Low + v.High) / 2
		d.Change = estimate.Between("change at full throttle, predicted", middle, quantity.KindTemperatureDifference.SI(), v, estimate.BetweenDrives, math.Inf(1))
		if w, err := compare.PowerOf(d, outside); err == nil {
			return &w
		}
	}
	return nil
}
