package verdict

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A pull at full throttle: how long the load lasts, and how many times the air
// of a steady 60 km/h the engine then draws. Common practice, no source.
const (
	pullHeld     = 10 * time.Second
	pullSpeed    = 80 * quantity.KilometrePerHour
	leastAirflow = 3.0
	mostAirflow  = 5.0
)

// predict is the worth of the primary's change at full throttle where no pull
// could be compared: a prediction from part throttle by the heat model, no
// measurement. It fails where the primary can't be compared either, where no
// drive of a side says how its rise follows the load, or the air is too far off.
func (a *Answer) predict() (*compare.Worth, error) {
	for _, d := range a.Differences {
		if !d.Primary || d.AtFullThrottle || d.Verdict == compare.NotComparable || !d.Change.Known() {
			continue
		}
		v, err := a.atFullThrottle(d.Change.Interval)
		if err != nil {
			return nil, err
		}
		d.Change = estimate.Between("change at full throttle, predicted", (v.Low+v.High)/2, d.Units.Of(quantity.KindTemperatureDifference), v, estimate.Propagated, math.Inf(1))
		w, err := compare.PowerIn(d, a.Power.charge)
		if err != nil {
			return nil, err
		}
		return &w, nil
	}
	return nil, fmt.Errorf("the kind of driving that counts can't be compared")
}

// atFullThrottle carries a change at part throttle over to a pull: each side's
// rise moves as the heat model has it for that side's drives. What is not known of
// the air flow of a pull is a rectangle (JCGM 100, 4.3.7), the same for both sides.
func (a *Answer) atFullThrottle(change estimate.Interval) (estimate.Interval, error) {
	before, err := a.heatOf(a.Before)
	if err != nil {
		return change, err
	}
	after, err := a.heatOf(a.After)
	if err != nil {
		return change, err
	}
	normal := distuv.UnitNormal.Quantile((1 + change.Level) / 2)
	var moves [2]float64
	open := 0.0 // K², by the model
	for i, airflow := range []float64{leastAirflow, mostAirflow} {
		b, ub, err := a.moved(before, airflow)
		if err != nil {
			return change, err
		}
		c, uc, err := a.moved(after, airflow)
		if err != nil {
			return change, err
		}
		moves[i] = c - b
		open += (ub*ub + uc*uc) / 2
	}
	flow := (moves[1] - moves[0]) / math.Sqrt(12)
	half := math.Hypot((change.High-change.Low)/2, normal*math.Sqrt(open+flow*flow))
	middle := (change.Low+change.High)/2 + (moves[0]+moves[1])/2
	return estimate.Interval{Low: middle - half, High: middle + half, Level: change.Level}, nil
}

// heatOf analyses the drives of a configuration; those that can't be analysed
// are passed over as long as one can.
func (a *Answer) heatOf(configuration string) (all []heat.Analysis, err error) {
	for _, r := range a.Runs {
		if r.Drive.Configuration != configuration {
			continue
		}
		h, failed := heat.Analyse(r.Drive, r.Opening, r.Segments)
		if failed == nil {
			_, failed = h.Predict(heat.Condition{Ambient: a.Power.Outside.Temperature, Speed: pullSpeed})
		}
		if failed != nil {
			err = failed
			continue
		}
		all = append(all, h)
	}
	if len(all) > 0 {
		return all, nil
	}
	return nil, err
}

// moved is by how much the rise of a configuration changes, in K, from steady
// driving to a pull, with the standard uncertainty of that change alone. What the
// drives' scatter and probes do to both is in the change at part throttle already.
func (a *Answer) moved(drives []heat.Analysis, airflow float64) (move, uncertainty float64, err error) {
	steady := heat.Condition{Ambient: a.Power.Outside.Temperature, Speed: pullSpeed}
	pull := steady
	pull.Airflow, pull.Held = airflow, pullHeld
	change, u, err := heat.ChangeBetween(steady, pull, drives...)
	return change.Kelvins(), u.Kelvins(), err
}
