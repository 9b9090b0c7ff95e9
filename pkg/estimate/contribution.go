package estimate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// SourceKind says what an uncertainty comes from.
type SourceKind string

// The kinds of source.
const (
	Scatter     SourceKind = "scatter"     // differences between drives, blocks or readings
	Probe       SourceKind = "probe"       // a sensor's own constant error
	ColdJoint   SourceKind = "cold joint"  // a logger's reference junction, common to its channels
	Mounting    SourceKind = "mounting"    // where and how a probe sits
	Lag         SourceKind = "lag"         // a sensor's delay
	Radiation   SourceKind = "radiation"   // hot surfaces in a probe's view
	Alignment   SourceKind = "alignment"   // clocks against each other
	Barometer   SourceKind = "barometer"   // air pressure
	Hygrometer  SourceKind = "hygrometer"  // humidity
	ModelSpread SourceKind = "model"       // rival formulas, simplifications
	Description SourceKind = "description" // what a person stated of car or engine
	OtherSource SourceKind = "other"
)

// Source identifies where an uncertainty comes from. Two contributions with
// equal sources are the same error, not two like ones: the identity must name
// the thing ("logger A, T1"), not its kind.
type Source struct {
	Kind SourceKind
	ID   string
}

// String returns kind and identity.
func (s Source) String() string {
	if s.ID == "" {
		return string(s.Kind)
	}
	return fmt.Sprintf("%s (%s)", s.Kind, s.ID)
}

// Contribution is one source's part in the uncertainty of an estimate.
type Contribution struct {
	Source Source
	// Effect is what one standard uncertainty of the source, taken upwards,
	// does to the value: sensitivity times standard uncertainty, with its
	// sign, in the unit of the value (c_i·u(x_i), JCGM 100, 5.1.3).
	Effect float64
	// DegreesOfFreedom says how well the source's standard uncertainty is
	// itself known; 0 or +Inf where it was not estimated from observations.
	DegreesOfFreedom float64
}

func (c Contribution) check() error {
	if math.IsNaN(c.Effect) || math.IsInf(c.Effect, 0) || !(c.DegreesOfFreedom >= 0) {
		return fmt.Errorf("estimate: contribution of %v: effect %g with %g degrees of freedom is not usable", c.Source, c.Effect, c.DegreesOfFreedom)
	}
	return nil
}

// merge adds the effects of equal sources and drops what has cancelled.
func merge(all []Contribution) []Contribution {
	at := map[Source]int{}
	size := map[Source]float64{}
	var merged []Contribution
	for _, c := range all {
		size[c.Source] = math.Max(size[c.Source], math.Abs(c.Effect))
		i, seen := at[c.Source]
		if !seen {
			at[c.Source] = len(merged)
			merged = append(merged, c)
			continue
		}
		merged[i].Effect += c.Effect
		merged[i].DegreesOfFreedom = fewer(merged[i].DegreesOfFreedom, c.DegreesOfFreedom)
	}
	// What is left of equal effects is rounding, not uncertainty.
	const rounding = 1e-12
	return slices.DeleteFunc(merged, func(c Contribution) bool {
		return math.Abs(c.Effect) <= rounding*size[c.Source]
	})
}

// fewer returns the smaller of two degrees of freedom, where 0 is infinite.
func fewer(a, b float64) float64 {
	switch {
	case a == 0:
		return b
	case b == 0:
		return a
	}
	return math.Min(a, b)
}

// Share is the part of one source in the variance of an estimate.
type Share struct {
	Source Source
	// Effect is the contribution's, in the unit of the estimate.
	Effect float64
	// Share of the variance, 0 to 1; all shares of an estimate sum to 1.
	Share float64
}

// Line is one line of an uncertainty budget as it is shown.
type Line struct {
	Source Source
	// Effect is what one standard uncertainty of the source does, with the unit.
	Effect string
	// Percent is its part in the variance.
	Percent float64
}

// Budget returns the shares as they are shown, in the unit of the estimate.
func (e Estimate) Budget() []Line {
	var lines []Line
	unit := e.Unit
	if unit.Kind() == quantity.KindTemperature { // an effect is a difference
		unit = ofDifference(unit)
	}
	for _, s := range e.Shares() {
		lines = append(lines, Line{s.Source, quantity.Format(s.Effect, unit, 2), math.Round(1000*s.Share) / 10})
	}
	return lines
}

// Shares returns who contributes how much to the variance, largest first;
// nothing where no uncertainty is known.
func (e Estimate) Shares() []Share {
	total := 0.0
	for _, c := range e.Contributions {
		total += c.Effect * c.Effect
	}
	if !(total > 0) { // an effect that is not known has no share, and leaves no other one
		return nil
	}
	var shares []Share
	for _, c := range e.Contributions {
		shares = append(shares, Share{c.Source, c.Effect, c.Effect * c.Effect / total})
	}
	slices.SortStableFunc(shares, func(a, b Share) int { return cmp.Compare(b.Share, a.Share) })
	return shares
}
