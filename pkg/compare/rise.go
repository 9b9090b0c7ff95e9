package compare

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// DriveRise is what one drive says about one stratum.
type DriveRise struct {
	Drive         string
	Configuration string
	Stratum       string
	// Mean is the rise over ambient, weighted by time; NaN if the drive has
	// too little of this stratum.
	Mean quantity.TemperatureDifference
	// Temperature and Ambient are the means that the rise is the difference of.
	Temperature, Ambient quantity.Temperature
	// Time is how long the drive was in the stratum, in seconds, over
	// Stretches separate stretches.
	Time      float64
	Stretches int
	// Speed is the mean speed in the stratum.
	Speed quantity.Speed
	// SinceOpening is the mean time since the thermostat opened in seconds,
	// NaN if unknown.
	SinceOpening float64
	// LeftOut says in words what was left out and why.
	LeftOut []string
}

// Rises returns the rise of every run in every stratum, runs first, strata
// in order.
func Rises(runs []Run, rules Rules) ([]DriveRise, error) {
	if err := rules.check(); err != nil {
		return nil, err
	}
	var all []DriveRise
	for _, run := range runs {
		rise, err := run.Drive.Rise(rules.Role)
		if err != nil {
			return nil, fmt.Errorf("compare: %w", err)
		}
		for _, s := range rules.Strata {
			r, err := run.riseIn(s, rise, rules)
			if err != nil {
				return nil, err
			}
			all = append(all, r)
		}
	}
	return all, nil
}

// riseIn averages the rise over the stretches of one stratum.
func (run Run) riseIn(s Stratum, rise *series.Series, rules Rules) (DriveRise, error) {
	r := DriveRise{Drive: run.Drive.Name, Configuration: run.Drive.Configuration, Stratum: s.Name}
	ambient, err := run.Drive.Channel(drive.Ambient)
	if err != nil {
		return r, err
	}
	var sum, amb, weight, speed, since, sinceWeight float64
	for _, g := range run.Segments {
		if !s.holds(g) {
			continue
		}
		if why := excluded(g, rules); why != "" {
			r.LeftOut = append(r.LeftOut, fmt.Sprintf("%.0f to %.0f s: %s", g.Interval.From, g.Interval.To, why))
			continue
		}
		m := rise.Mean(g.Interval, drive.MaxGap)
		a := ambient.Mean(g.Interval, drive.MaxGap)
		if math.IsNaN(m) || math.IsNaN(a) {
			r.LeftOut = append(r.LeftOut, fmt.Sprintf("%.0f to %.0f s: no readings", g.Interval.From, g.Interval.To))
			continue
		}
		w := g.Interval.Duration()
		sum += w * m
		amb += w * a
		speed += w * float64(g.MeanSpeed)
		weight += w
		r.Stretches++
		if !math.IsNaN(g.TimeSinceOpening) {
			since += w * g.TimeSinceOpening
			sinceWeight += w
		}
	}
	r.Time = weight
	r.SinceOpening = since / sinceWeight // NaN where none is known
	if weight < rules.MinimumTime || weight == 0 {
		r.Mean = quantity.TemperatureDifference(math.NaN())
		r.Temperature, r.Ambient = quantity.Kelvin(math.NaN()), quantity.Kelvin(math.NaN())
		r.Speed = quantity.Speed(math.NaN())
		return r, nil
	}
	r.Mean = quantity.KelvinDifference(sum / weight)
	r.Ambient = quantity.Kelvin(amb / weight)
	r.Temperature = r.Ambient.Add(r.Mean)
	r.Speed = quantity.Speed(speed / weight)
	return r, nil
}

// excluded returns why the stretch does not take part, empty if it does.
func excluded(g segment.Segment, rules Rules) string {
	switch {
	case g.WarmUp:
		return "before the thermostat opened"
	case g.HeatSoak:
		return "heat soak after a long stop"
	case rules.Unsettled || g.Settled:
		return ""
	case g.Kind == segment.Stopped, g.Kind == segment.StopAndGo, g.Kind == segment.FullThrottle:
		if math.IsNaN(g.TimeSinceOpening) || g.TimeSinceOpening < settleTime {
			return "too soon after the thermostat opened"
		}
		return ""
	case g.NotSettled != "":
		return g.NotSettled
	}
	return "not settled"
}

// settleTime is how long after the opening short kinds take part, in seconds.
var settleTime = segment.DefaultRules().SettleAfter
