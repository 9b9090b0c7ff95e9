// Package compare sets two configurations of a car against each other:
// before and after, open filters and duct.
//
// Three rules keep it fair. Only like stretches are compared (same kind of
// driving, same band of speed, thermally settled). What is compared is the
// rise over ambient, not the temperature. And the unit of evidence is the
// drive: 900 neighbouring readings of one drive repeat each other, so each
// drive gives one mean for each stratum, and intervals come from how these
// means differ between drives.
package compare

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// StratumID names a stratum for programs. It does not change when the name
// that is shown does.
type StratumID string

// The identities of the usual strata, see [DefaultStrata].
const (
	Stopped      StratumID = "stopped"
	StopAndGo    StratumID = "stop_and_go"
	RoadSlow     StratumID = "road_slow"
	RoadMiddle   StratumID = "road_middle"
	RoadFast     StratumID = "road_fast"
	FullThrottle StratumID = "full_throttle"
)

// Stratum is one class of like stretches: kinds of driving within a band of
// mean speed, From ≤ v < To.
type Stratum struct {
	Name     string // for showing only, see [Stratum.In]
	Kinds    []segment.Kind
	From, To quantity.Speed
	// ID tells strata apart; empty takes the name.
	ID StratumID
	// Scatter is the median of the prior of the scatter between drives in this
	// kind of driving; 0 takes [Priors.Scatter].
	Scatter quantity.TemperatureDifference
	// Where says what the band is a part of, such as "road": the name in other
	// units is made of it and the band. Empty keeps Name whatever the units.
	Where string
	// MinimumTime is the least total time in seconds that a drive must spend in
	// it to give a mean; 0 takes that of the [Rules].
	MinimumTime float64
}

// In returns the name that is shown to somebody who reads speeds in the given
// units: "road 60 to 95 km/h" is "road 37 to 59 mph".
func (s Stratum) In(units quantity.Preferred) string {
	u := units.Of(quantity.KindSpeed)
	if s.Where == "" || u == quantity.KindSpeed.Shown() {
		return s.Name
	}
	from, to := u.FromSI(float64(s.From)), u.FromSI(float64(s.To))
	switch {
	case s.From <= lowestOnRoad:
		return fmt.Sprintf("%s below %.0f %s", s.Where, to, u)
	case s.To >= highestOnRoad:
		return fmt.Sprintf("%s above %.0f %s", s.Where, from, u)
	}
	return fmt.Sprintf("%s %.0f to %.0f %s", s.Where, from, to, u)
}

// What the usual strata begin and end at is no limit to name.
const (
	lowestOnRoad  = 20 * quantity.KilometrePerHour
	highestOnRoad = 250 * quantity.KilometrePerHour
)

// Identity returns the ID, or the name where none was given.
func (s Stratum) Identity() StratumID { return cmp.Or(s.ID, StratumID(s.Name)) }

// AtFullThrottle reports whether the stratum holds full-throttle stretches and
// nothing else.
func (s Stratum) AtFullThrottle() bool {
	return len(s.Kinds) > 0 && !slices.ContainsFunc(s.Kinds, func(k segment.Kind) bool { return k != segment.FullThrottle })
}

// DefaultStrata returns the usual classes. They are data: change, drop or add
// lines, and rename them as you like.
func DefaultStrata() []Stratum {
	const kmh, road = quantity.KilometrePerHour, "road"
	moving := []segment.Kind{segment.Steady, segment.OpenRoad}
	return []Stratum{
		{ID: Stopped, Name: "stopped", Kinds: []segment.Kind{segment.Stopped}, To: 5 * kmh, Scatter: 20},
		{ID: StopAndGo, Name: "stop-and-go", Kinds: []segment.Kind{segment.StopAndGo}, To: 40 * kmh, Scatter: 8},
		{ID: RoadSlow, Name: "road below 60 km/h", Kinds: moving, From: lowestOnRoad, To: 60 * kmh, Scatter: 3, Where: road},
		{ID: RoadMiddle, Name: "road 60 to 95 km/h", Kinds: moving, From: 60 * kmh, To: 95 * kmh, Where: road},
		{ID: RoadFast, Name: "road above 95 km/h", Kinds: moving, From: 95 * kmh, To: highestOnRoad, Where: road},
		{ID: FullThrottle, Name: "full throttle", Kinds: []segment.Kind{segment.FullThrottle}, To: highestOnRoad, MinimumTime: 5},
	}
}

// holds reports whether the stretch belongs to the stratum.
func (s Stratum) holds(g segment.Segment) bool {
	if g.MeanSpeed < s.From || g.MeanSpeed >= s.To {
		return false
	}
	return slices.Contains(s.Kinds, g.Kind)
}

// Run is one drive with its stretches, ready to be compared.
type Run struct {
	Drive    *drive.Drive
	Segments []segment.Segment
}

// Rules say which stretches take part.
type Rules struct {
	Strata []Stratum
	// Role is the channel whose rise over ambient is compared.
	Role drive.Role
	// Unsettled also takes stretches that are not marked settled. Short kinds
	// (stopped, full throttle) never settle by themselves; for them it is
	// enough that warm-up and heat soak are over.
	Unsettled bool
	// MinimumTime is the least total time in seconds that a drive must spend
	// in a stratum to give a mean, where that does not say otherwise
	// ([Stratum.MinimumTime]: a pull at full throttle is short).
	MinimumTime float64
	// Level is the coverage of intervals, 0 < Level < 1.
	Level float64
	// Primary is the stratum whose answer was asked for before anybody looked.
	// It is judged at the full level, the others only if it shows a change.
	// Empty takes the stratum that most drives of the side with fewer have.
	Primary StratumID
	// Delta is the smallest change that matters to the owner, above 0.
	Delta quantity.TemperatureDifference
	// Refitted says that the intake's probe was taken off and fitted again
	// together with the change, Exchanged that it is another one since.
	Refitted, Exchanged bool
	// Covariate is a temperature that the comparison allows for, by how far
	// above ambient it is in each drive: that of the oil, or one of the owner's
	// own. It must be one that the change itself does not touch, else it takes a
	// part of the effect away. Empty allows for none.
	Covariate drive.Role
	// Control is a temperature that the change itself does not touch and that
	// drifts as the intake would without it: how far above ambient it is in each
	// drive is taken from the intake's rise, as far as the prior and the drives bear
	// it out (a difference of differences). It bounds a drift where all drives of one
	// configuration come first. Empty: there is none.
	Control drive.Role
	// Mixture is how the engine makes its mixture; unknown is taken for a
	// carburettor of either kind.
	Mixture engine.Carburettor
	// Lambda is where the mixture stood at full throttle before the change; the
	// zero value takes [engine.UsualLambda].
	Lambda engine.LambdaRange
	Priors Priors
}

// DefaultRules compares the intake's rise with 95 % intervals; a change below
// 3 K does not matter.
func DefaultRules() Rules {
	return Rules{Strata: DefaultStrata(), Role: drive.Intake, MinimumTime: 10, Level: 0.95, Delta: 3, Priors: DefaultPriors()}
}

func (r Rules) check() error {
	if !(r.Level > 0 && r.Level < 1) {
		return quantity.OutOfRange("compare", "level of the intervals", r.Level, 0, 1, quantity.Unit{}, "such as 0.95")
	}
	if len(r.Strata) == 0 {
		return fmt.Errorf("compare: no strata; start from compare.DefaultRules()")
	}
	if !(r.Delta > 0) {
		return quantity.OutOfRange("compare", "change that would matter (delta)", float64(r.Delta), 0, 100, quantity.KindTemperatureDifference.SI(), "such as 3 K")
	}
	if err := r.Priors.check(); err != nil {
		return err
	}
	for _, other := range []drive.Role{r.Covariate, r.Control} {
		if k, known := other.Dimension(); other != "" && (!known || k != quantity.KindTemperature || other == drive.Ambient || other == r.Role || other.IntakeNumber() > 0) {
			return fmt.Errorf("compare: %q can't be allowed for: it must be a temperature, and neither the outside air's nor the intake's", other)
		}
	}
	if r.Control != "" && r.Control == r.Covariate {
		return fmt.Errorf("compare: %q is to be allowed for twice, as the covariate and as the control probe; name it once", r.Control)
	}
	if r.Primary != "" && !slices.ContainsFunc(r.Strata, func(s Stratum) bool { return s.Identity() == r.Primary }) {
		return fmt.Errorf("compare: the primary kind of driving %q is none of the strata", r.Primary)
	}
	seen := map[StratumID]bool{}
	for _, s := range r.Strata {
		if seen[s.Identity()] {
			return fmt.Errorf("compare: two strata are %q; give each an ID of its own", s.Identity())
		}
		seen[s.Identity()] = true
	}
	return nil
}
