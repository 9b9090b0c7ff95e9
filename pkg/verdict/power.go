package verdict

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/weather"
)

// Power is what the change is worth at full throttle.
type Power struct {
	// Outside is the air for which power is compared.
	Outside air.State
	// Worths holds one for each full-throttle stratum that both sides have.
	Worths []compare.Worth
	// Predicted is what the change in the kind of driving that counts may be worth
	// at full throttle, from the lowest to the highest, where no full throttle could
	// be compared; nil where there is nothing to predict it from. It is no
	// measurement.
	Predicted *compare.Worth
	// Warnings say why there is none.
	Warnings []estimate.Warning

	charge engine.Charge // what the prediction is made for
}

// WorthAtFullThrottle turns the differences at full throttle into power, in
// air of the given temperature and of the pressure and vapour pressure that the
// drives' outside air has on average. What stands in the way is a warning, not an error:
// data without full throttle or weather are usual.
func WorthAtFullThrottle(differences []compare.Difference, drives []*drive.Drive, outside quantity.Temperature) Power {
	return worth(differences, drives, Question{Standard: outside})
}

// worth is [WorthAtFullThrottle] with what the question knows of the charge.
func worth(differences []compare.Difference, drives []*drive.Drive, q Question) Power {
	var p Power
	outside := q.Standard
	warn := func(k estimate.Kind, subject, text string, args ...any) {
		p.Warnings = append(p.Warnings, estimate.Warning{Kind: k, Subject: subject, Text: fmt.Sprintf(text, args...)})
	}
	var usable []compare.Difference
	blocked := false
	for _, d := range differences {
		if !d.AtFullThrottle || d.Before.Drives == 0 || d.After.Drives == 0 {
			continue
		}
		if d.Verdict == compare.NotComparable {
			blocked = true
			warn(PowerNotKnown, "", "No power is told: %s.", d.WhyNot())
			continue
		}
		usable = append(usable, d)
	}
	if len(usable) == 0 && blocked {
		return p
	}
	if len(usable) == 0 {
		if mean, err := weather.Mean(drives); err == nil {
			p.Outside, _ = mean.At(outside)
			p.charge = charge(mean, p.Outside, q)
		}
		warn(NoFullThrottle, "", "No power is measured: no stretch at full throttle may be compared in both configurations, and at part throttle the driver's foot makes up the difference. Add two to each drive, only where road, law and car allow it.")
		return p
	}
	mean, err := weather.Mean(drives)
	if err != nil {
		warn(PowerNotKnown, "", "No power is told: %v", err)
		return p
	}
	p.Warnings = append(p.Warnings, mean.Warnings...)
	if p.Outside, err = mean.At(outside); err != nil {
		warn(PowerNotKnown, "", "No power is told: %v", err)
		return p
	}
	for _, d := range usable {
		w, err := compare.PowerIn(d, charge(mean, p.Outside, q))
		if err != nil {
			warn(PowerNotKnown, d.Stratum, "the change can't be turned into power: %v", err)
			continue
		}
		p.Worths = append(p.Worths, w)
	}
	return p
}

// predicted is the change of power of the prediction, with the mixture.
func (p Power) predicted() estimate.Interval {
	if p.Predicted == nil {
		return estimate.Interval{Low: math.NaN(), High: math.NaN()}
	}
	return p.Predicted.Total.Interval
}

// gaugeSpread is how far a stated drop of pressure may be off; common practice
// for a water column read at full throttle, no source.
const gaugeSpread = 0.1

// charge is what power depends on, in the air at a temperature.
func charge(mean weather.MeanAir, at air.State, q Question) engine.Charge {
	c := engine.Charge{Outside: at, PressureUncertainty: mean.PressureUncertainty, VapourUncertainty: mean.VapourUncertainty}
	was, is := q.Fuels[q.Before], q.Fuels[q.After]
	c.Metering.FuelBefore, c.Metering.FuelAfter = was.Blend, is.Blend
	c.Metering.BowlBefore, c.Metering.BowlAfter = was.Bowl, is.Bowl
	before, after := q.Drops[q.Before], q.Drops[q.After]
	if before > 0 && after > 0 {
		c.Metering.LossBefore, c.Metering.LossAfter = before, after
		c.LossUncertainty = gaugeSpread * (before + after)
	}
	return c
}

// String returns each worth in a few lines, or why there is none.
func (p Power) String() string {
	var lines []string
	for _, w := range p.Worths {
		lines = append(lines, strings.TrimRight(w.String(), "\n"))
	}
	if v := p.predicted(); v.Known() {
		lines = append(lines, "predicted from part throttle, not measured: full-throttle power "+percents(v.Low, v.High)+", mixture included")
	}
	return strings.Join(append(lines, estimate.Texts(p.Warnings)...), "\n")
}
