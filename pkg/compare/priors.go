package compare

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/ambientlaw"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Priors are what is taken for granted of drives of one car before any is
// looked at. They stand in the answer; an answer that half or twice the scale
// of the scatter would turn round is undecided.
//
// Their sizes are judgement, informed by drives of one unchanged injected car
// (scatter between drives 0.9 K above 95 km/h, 1.2 K at 60 to 95 km/h, 2 to 3 K
// below and at full throttle, 7.5 K in stop-and-go, 25 K standing; slope with
// ambient between −0.05 and +0.11 K/K): an old car may scatter twice as much, or
// half. The scatter's prior is wide on purpose (95 % within a factor of 19): a
// narrower one makes intervals of two and three drives too wide for a car that
// scatters little and too narrow for one that scatters much.
type Priors struct {
	// Scatter is the median of the scatter between drives, where a stratum has
	// none of its own; ScatterSpread the standard deviation of its logarithm.
	Scatter       quantity.TemperatureDifference
	ScatterSpread float64
	// ScatterRatio is the standard deviation of the logarithm of the two sides'
	// scatters over each other.
	ScatterRatio float64
	// AmbientShare is the share of the rise that a kelvin of outside air adds, in
	// 1/K; AmbientShareDeviation is its standard deviation. They hold a rise that
	// goes in proportion to (coolant − ambient), one that does not care, and that of
	// an unchanged car, which grew a little on warm days. Predictions of package heat
	// take the same.
	AmbientShare, AmbientShareDeviation float64
	// AmbientSlope is the standard deviation of what else a degree of ambient
	// does to the rise, in K/K.
	AmbientSlope float64
	// OrderSlope is the standard deviation of a steady drift from drive to
	// drive: tune, season, ageing probes.
	OrderSlope quantity.TemperatureDifference
	// SpeedSlope is the standard deviation of the share of the rise that one
	// km/h of mean speed takes away or adds.
	SpeedSlope float64
	// SinceSlope is the standard deviation of the share of the rise that ten
	// minutes more since the thermostat opened take away or add.
	SinceSlope float64
	// CovariateSlope is the standard deviation of what a kelvin of the covariate
	// does to the rise, in K/K.
	CovariateSlope float64
	// Control is how far the intake drifts with the control probe, in K/K, and
	// ControlDeviation its standard deviation: what shifts a season's rise or the
	// outside air's probe shifts both, but not alike. Uncontrolled is the share of
	// OrderSlope that is left for a drift which a control probe does not see.
	Control, ControlDeviation, Uncontrolled float64
	// Refit is the standard deviation of what refitting a probe does to its
	// reading: 1 to 2 K where the air beside a hot wall is not mixed (judgement,
	// no source).
	Refit quantity.TemperatureDifference
	// Route is the standard deviation of the share of the rise that another road
	// takes away or adds, where no piece of it is the same.
	Route float64
	// Own is the standard deviation that one drive's mean has by itself: the
	// steps of the readings, the ends of the stretches.
	Own quantity.TemperatureDifference
}

// DefaultPriors returns the usual sizes.
func DefaultPriors() Priors {
	return Priors{Scatter: 1.4, ScatterSpread: 1.5, ScatterRatio: 0.7,
		AmbientShare: ambientlaw.Mean, AmbientShareDeviation: ambientlaw.Deviation, AmbientSlope: 0.05,
		OrderSlope: 0.3, SpeedSlope: 0.006, SinceSlope: 0.03, CovariateSlope: 0.2, Control: 1, ControlDeviation: 0.5, Uncontrolled: 1. / 3, Route: 0.1, Refit: 1.7, Own: 0.1}
}

// expectedSpread, expectedRatio and expectedAmbient are those of the priors by which
// a drive is called odd: what drives of one car do as a rule, while the answer allows
// for cars that scatter far more or less, or follow the weather more. Judgement, no
// source.
const expectedSpread, expectedRatio, expectedAmbient = 0.6, 0.35, 0.01

// asExpected are the priors by which a drive is called odd.
func (p Priors) asExpected() Priors {
	p.ScatterSpread = math.Min(p.ScatterSpread, expectedSpread)
	p.ScatterRatio = math.Min(p.ScatterRatio, expectedRatio)
	p.AmbientShareDeviation = math.Min(p.AmbientShareDeviation, expectedAmbient)
	return p
}

func (p Priors) check() error {
	if !(p.Scatter > 0) {
		return fmt.Errorf("compare: the prior of the scatter has the median %g K; start from compare.DefaultPriors()", float64(p.Scatter))
	}
	if !(p.ScatterSpread > 0) {
		return fmt.Errorf("compare: the prior of the scatter has the spread %g; start from compare.DefaultPriors()", p.ScatterSpread)
	}
	for _, x := range []float64{p.ScatterSpread, p.ScatterRatio, p.AmbientShareDeviation, p.AmbientSlope, float64(p.OrderSlope), p.SpeedSlope, p.SinceSlope, p.CovariateSlope, p.ControlDeviation, p.Uncontrolled, p.Route, float64(p.Refit), float64(p.Own)} {
		if !(x >= 0) || math.IsInf(x, 0) {
			return fmt.Errorf("compare: a standard deviation among the priors is %g; it must be finite and not below 0", x)
		}
	}
	return nil
}

// Names of the conditions in a budget.
const (
	ambientLaw   = "how the rise follows the outside temperature"
	ambientRest  = "what else the weather does"
	orderOfDrive = "drift over the drives"
	speedOfDrive = "speed"
	timeWarm     = "time since the thermostat opened"
	anotherRoad  = "another road"
	sharedDrift  = "what the control probe shows"
)

// usualSpread is how far in K a covariate of which a drive has no reading may be
// from that of the others. Judgement, no source.
const usualSpread = 10.0

// tenMinutes is the unit of the time since the opening in the model, in seconds.
const tenMinutes = 600.0

// model puts the drives of one stratum into the form of package contrast.
func model(s Stratum, before, after []DriveRise, order map[string]float64, rules Rules) ([]contrast.Observation, contrast.Model) {
	p := rules.Priors
	all := slices.Concat(before, after)
	controlled, drift := rules.Controls(all), float64(p.OrderSlope)
	if controlled {
		drift *= p.Uncontrolled
	}
	m := contrast.Model{
		Scatter:  contrast.Scatter{Scale: float64(p.Scatter), LogDeviation: p.ScatterSpread},
		LogRatio: p.ScatterRatio,
		Covariates: []contrast.Covariate{
			{Name: ambientLaw, Mean: p.AmbientShare, Deviation: p.AmbientShareDeviation},
			{Name: ambientRest, Deviation: p.AmbientSlope},
			{Name: orderOfDrive, Deviation: drift},
			{Name: speedOfDrive, Deviation: p.SpeedSlope},
			{Name: timeWarm, Deviation: p.SinceSlope},
			{Name: anotherRoad, Deviation: p.Route},
		},
		Offset: mountingOffset(before, after, rules),
	}
	if rules.Covariate != "" {
		m.Covariates = append(m.Covariates, contrast.Covariate{Name: string(rules.Covariate), Deviation: p.CovariateSlope})
	}
	if s.Scatter > 0 {
		m.Scatter.Scale = float64(s.Scatter)
	}
	if controlled {
		m.Covariates = append(m.Covariates, contrast.Covariate{Name: sharedDrift, Mean: p.Control, Deviation: p.ControlDeviation})
	}
	control := meanKnown(all, func(r DriveRise) float64 { return float64(r.Control) })
	ambient := meanOf(all, func(r DriveRise) float64 { return r.Ambient.Kelvin() })
	speed := meanOf(all, func(r DriveRise) float64 { return r.Speed.KilometresPerHour() })
	since := meanKnown(all, func(r DriveRise) float64 { return r.SinceOpening })
	elsewhere := 0.0 // share of the road that the sides do not have in common
	if common := CommonGround(before, after); !math.IsNaN(common) {
		elsewhere = 1 - common
	}
	other := meanKnown(all, func(r DriveRise) float64 { return float64(r.Covariate) })
	var obs []contrast.Observation
	for side, rises := range [][]DriveRise{before, after} {
		level := stat.Mean(means(rises), nil) // the side's own rise: laws act on it in proportion
		for _, r := range rises {
			away := 0.0
			if side == 1 {
				away = elsewhere
			}
			warmer, faster := r.Ambient.Kelvin()-ambient, r.Speed.KilometresPerHour()-speed
			o := contrast.Observation{
				Name: r.Drive, After: side == 1, Value: float64(r.Mean), Uncertainty: math.Hypot(float64(p.Own), float64(r.Own)),
				Covariates: []float64{level * warmer, warmer, order[r.Drive], level * faster, level * (above(r.SinceOpening, since) / tenMinutes), level * away},
			}
			if rules.Covariate != "" {
				o.Covariates = append(o.Covariates, above(float64(r.Covariate), other))
				if math.IsNaN(float64(r.Covariate)) {
					o.Uncertainty = math.Hypot(o.Uncertainty, p.CovariateSlope*usualSpread)
				}
			}
			if controlled {
				o.Covariates = append(o.Covariates, above(float64(r.Control), control))
			}
			obs = append(obs, o)
		}
	}
	return obs, m
}

// Controls reports whether each of the drives has a reading of the control probe,
// so that their difference is one of differences.
func (r Rules) Controls(rises []DriveRise) bool {
	return r.Control != "" && len(rises) > 0 && !slices.ContainsFunc(rises, func(r DriveRise) bool { return math.IsNaN(float64(r.Control)) })
}

// meanKnown is the mean over the drives in which a number is known; NaN without
// any.
func meanKnown(rises []DriveRise, of func(DriveRise) float64) float64 {
	var known []float64
	for _, r := range rises {
		if x := of(r); !math.IsNaN(x) {
			known = append(known, x)
		}
	}
	return stat.Mean(known, nil)
}

// above is how far a number is above a mean; 0 where either is not known.
func above(x, mean float64) float64 {
	if math.IsNaN(x) || math.IsNaN(mean) {
		return 0
	}
	return x - mean
}

// mountingOffset is what a probe that was moved or exchanged may add to one
// side: probes that both sides share cancel.
func mountingOffset(before, after []DriveRise, rules Rules) float64 {
	offset := 0.0
	if rules.Refitted {
		offset = float64(rules.Priors.Refit)
	}
	if rules.Exchanged {
		return math.Hypot(float64(rules.Priors.Refit), math.Sqrt2*drive.Uncalibrated().Kelvins())
	}
	for _, c := range notShared(before, after) {
		offset = math.Hypot(offset, c.Effect)
	}
	return offset
}

// notShared are the constant errors of probes that one side alone has.
func notShared(before, after []DriveRise) []estimate.Contribution {
	return append(ofOneSide(before, after), ofOneSide(after, before)...)
}

// ofOneSide are the constant errors of one side's probes that the other side
// does not have, each once.
func ofOneSide(side, other []DriveRise) []estimate.Contribution {
	var all, theirs []estimate.Contribution
	for _, r := range other {
		theirs = append(theirs, r.Shared...)
	}
	for _, r := range side {
		for _, c := range r.Shared {
			same := func(k estimate.Contribution) bool { return k.Source == c.Source }
			if !slices.ContainsFunc(all, same) && !slices.ContainsFunc(theirs, same) {
				all = append(all, c)
			}
		}
	}
	return all
}

// places numbers the drives of both configurations in time, 0 in the middle; drives
// that began together share the middle of their places, and those without a date, or
// where all began together, get 0.
func places(rises []DriveRise, before, after string) map[string]float64 {
	start := map[string]time.Time{}
	for _, r := range rises {
		if (r.Configuration == before || r.Configuration == after) && !r.Start.IsZero() {
			start[r.Drive] = r.Start
		}
	}
	var names []string
	for n := range start {
		names = append(names, n)
	}
	slices.SortFunc(names, func(a, b string) int { return start[a].Compare(start[b]) })
	place := map[string]float64{}
	for i := 0; i < len(names); {
		end := i + 1
		for end < len(names) && start[names[end]].Equal(start[names[i]]) {
			end++
		}
		for _, n := range names[i:end] {
			place[n] = float64(i+end-1)/2 - float64(len(names)-1)/2
		}
		i = end
	}
	if len(names) > 0 && start[names[0]].Equal(start[names[len(names)-1]]) {
		clear(place)
	}
	return place
}
