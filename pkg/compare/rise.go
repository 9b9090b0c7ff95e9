package compare

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// DriveRise is what one drive says about one stratum.
type DriveRise struct {
	Drive         string
	Configuration string
	Stratum       string // the stratum's name, for showing
	ID            StratumID
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
	// Covariate is how far above ambient [Rules.Covariate] was; NaN without one.
	Covariate quantity.TemperatureDifference
	// Control is how far above ambient [Rules.Control] was; NaN without one.
	Control quantity.TemperatureDifference
	// Start is when the drive began; zero where that is not known.
	Start time.Time
	// Shared are the uncertainties that all readings of the two probes share.
	// They belong to the rise, and cancel between drives with the same probes.
	Shared []estimate.Contribution
	// Ground is where the stretches lie, sorted; nil without positions.
	Ground []Cell
	// Own is the standard uncertainty that this drive's mean has beside the
	// others': that of an outside temperature stated for the day.
	Own quantity.TemperatureDifference
	// LeftOut lists the stretches of the stratum that take no part.
	LeftOut []LeftOut

	units quantity.Preferred
}

// ReadIn returns the units in which the drive's owner reads.
func (r DriveRise) ReadIn() quantity.Preferred { return r.units }

// Identity returns the stratum's ID, or its name where none was given.
func (r DriveRise) Identity() StratumID { return cmp.Or(r.ID, StratumID(r.Stratum)) }

// LeftOut is a stretch that takes no part in a mean, and why.
type LeftOut struct {
	Interval series.Interval // s, drive time
	// Cause is NoCause where the channel has no readings there.
	Cause segment.Cause
	Why   string
}

// String returns the stretch and the reason.
func (l LeftOut) String() string {
	return fmt.Sprintf("%.0f to %.0f s: %s", l.Interval.From, l.Interval.To, l.Why)
}

// Rises returns the rise of every run in every stratum, runs first, strata
// in order. A run without the channel or without ambient has none; the error
// is then a [drive.LeftOutError] beside the rises of the others. It also fails
// where the rules can't be used.
func Rises(runs []Run, rules Rules) ([]DriveRise, error) {
	if err := rules.check(); err != nil {
		return nil, err
	}
	var all []DriveRise
	var out []drive.LeftOut
	for _, run := range runs {
		rise, err := run.Drive.Rise(rules.Role)
		if err != nil {
			out = append(out, drive.LeftOut{Drive: run.Drive.Name, Configuration: run.Drive.Configuration, Step: drive.Comparing, Why: fmt.Errorf("compare: %w", err)})
			continue
		}
		ambient, err := run.Drive.Channel(drive.Ambient)
		if err != nil {
			return nil, err // Rise has asked for it before
		}
		for _, s := range rules.Strata {
			all = append(all, run.riseIn(s, rise, ambient, rules))
		}
	}
	if len(out) > 0 {
		return all, &drive.LeftOutError{LeftOut: out, Held: len(runs) - len(out)}
	}
	return all, nil
}

// riseIn averages the rise over the stretches of one stratum.
func (run Run) riseIn(s Stratum, rise, ambient *series.Series, rules Rules) DriveRise {
	r := DriveRise{Drive: run.Drive.Name, Configuration: run.Drive.Configuration, Stratum: s.In(run.Drive.Units), ID: s.Identity(), units: run.Drive.Units, Start: run.Drive.Start, Shared: run.shared(rules.Role), Own: run.own(rules.Role)}
	covariate, control := run.beside(rules.Covariate), run.beside(rules.Control)
	var sum, amb, weight, speed, since, sinceWeight float64
	var taken []series.Interval
	for _, g := range run.Segments {
		if !s.holds(g) {
			continue
		}
		if out, excluded := exclusion(g, rules); excluded {
			r.LeftOut = append(r.LeftOut, out)
			continue
		}
		m := rise.Mean(g.Interval, drive.MaxGap)
		a := ambient.Mean(g.Interval, drive.MaxGap)
		if math.IsNaN(m) || math.IsNaN(a) {
			r.LeftOut = append(r.LeftOut, LeftOut{Interval: g.Interval, Why: "no readings"})
			continue
		}
		w := g.Interval.Duration()
		sum += w * m
		amb += w * a
		speed += w * float64(g.MeanSpeed)
		covariate.add(g.Interval, w)
		control.add(g.Interval, w)
		weight += w
		r.Stretches++
		taken = append(taken, g.Interval)
		if !math.IsNaN(g.TimeSinceOpening) {
			since += w * g.TimeSinceOpening
			sinceWeight += w
		}
	}
	r.Time = weight
	r.Covariate, r.Control = covariate.mean(weight), control.mean(weight)
	r.SinceOpening = since / sinceWeight // NaN where none is known
	if weight < cmp.Or(s.MinimumTime, rules.MinimumTime) || weight == 0 {
		r.Mean = quantity.TemperatureDifference(math.NaN())
		r.Temperature, r.Ambient = quantity.Kelvin(math.NaN()), quantity.Kelvin(math.NaN())
		r.Speed = quantity.Speed(math.NaN())
		return r
	}
	r.Mean = quantity.KelvinDifference(sum / weight)
	r.Ambient = quantity.Kelvin(amb / weight)
	r.Temperature = r.Ambient.Add(r.Mean)
	r.Speed = quantity.Speed(speed / weight)
	r.Ground = run.ground(taken)
	return r
}

// other is a temperature that is averaged beside the intake's, above ambient.
type other struct {
	rise *series.Series // nil: the drive has none
	sum  float64
}

// beside is that of the role; empty for none.
func (run Run) beside(role drive.Role) *other {
	if role == "" || !run.Drive.Has(role) {
		return &other{}
	}
	rise, _ := run.Drive.Rise(role) // ambient is there: the intake's rise has it
	return &other{rise: rise}
}

func (o *other) add(i series.Interval, weight float64) {
	if o.rise != nil {
		o.sum += weight * o.rise.Mean(i, drive.MaxGap)
	}
}

// mean is NaN where the drive has none, or no time.
func (o *other) mean(weight float64) quantity.TemperatureDifference {
	if o.rise == nil || weight == 0 {
		return quantity.TemperatureDifference(math.NaN())
	}
	return quantity.KelvinDifference(o.sum / weight)
}

// exclusion reports whether the stretch takes no part, and why.
func exclusion(g segment.Segment, rules Rules) (LeftOut, bool) {
	out := LeftOut{Interval: g.Interval, Cause: g.Unsettled, Why: cmp.Or(g.NotSettled, "not settled")}
	switch {
	case g.WarmUp:
		out.Cause, out.Why = segment.WarmingUp, "the engine was warming up"
	case g.HeatSoak:
		out.Cause, out.Why = segment.Soaking, "heat soak after a long stop"
	case rules.Unsettled || g.Settled:
		return out, false
	case g.Kind == segment.Stopped, g.Kind == segment.StopAndGo, g.Kind == segment.FullThrottle:
		switch {
		case g.Unsettled == segment.OpeningUnknown:
		case math.IsNaN(g.TimeSinceOpening) || g.TimeSinceOpening < settleTime:
			out.Cause, out.Why = segment.TooSoon, "too soon after the engine got warm"
		default:
			return out, false
		}
	}
	return out, true
}

// settleTime is how long after the opening short kinds take part, in seconds.
var settleTime = segment.DefaultRules().SettleAfter

// own returns what the readings of this drive alone are off by.
func (run Run) own(role drive.Role) quantity.TemperatureDifference {
	square := 0.0
	for _, r := range []drive.Role{role, drive.Ambient} {
		if c := run.Drive.Channels[r]; c != nil && c.ThisDrive {
			square += c.Uncertainty * c.Uncertainty
		}
	}
	return quantity.KelvinDifference(math.Sqrt(square))
}

// shared returns the constant errors of the two probes that a rise is made of.
func (run Run) shared(role drive.Role) []estimate.Contribution {
	var all []estimate.Contribution
	for _, c := range []struct {
		role drive.Role
		sign float64
	}{{role, 1}, {drive.Ambient, -1}} {
		channel := run.Drive.Channels[c.role]
		if channel == nil || channel.ThisDrive {
			continue
		}
		all = append(all, estimate.Contribution{Source: estimate.Source{Kind: estimate.Probe, ID: string(c.role) + " on " + channel.Device}, Effect: c.sign * channel.ProbeUncertainty()})
	}
	return all
}
