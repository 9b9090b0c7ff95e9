package estimate

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Term is one part of a sum: Coefficient times the estimate.
type Term struct {
	Coefficient float64
	Estimate    Estimate
}

// Sum returns Σ coefficient·estimate with the given unit. Contributions of one
// source are added with their signs; the rest is independent. An estimate
// without contributions takes part with its whole standard uncertainty, as
// independent of everything else. The result's warnings are those of the
// parts; it is unknown where a part is, and says which.
//
// It fails where level is outside 0 < level < 1.
//
// Source: JCGM 100:2008, equation (13), with correlations by common sources
// (F.1.2.3).
func Sum(name string, unit quantity.Unit, level float64, terms ...Term) (Estimate, error) {
	if err := checkLevel(level); err != nil {
		return Unknown(name, unit, err.Error()), err
	}
	value, count := 0.0, 0
	basis := NoBasis
	var parts []Contribution
	var warnings []Warning
	for i, t := range terms {
		e := t.Estimate
		if !e.Known() {
			return Unknown(name, unit, fmt.Sprintf("%s is not known: %s", e.Name, e.Missing)), nil
		}
		value += t.Coefficient * e.Value
		warnings = append(warnings, e.Warnings...)
		if count == 0 || e.Count > 0 && e.Count < count {
			count = e.Count
		}
		switch {
		case basis == NoBasis:
			basis = e.Basis
		case basis != e.Basis:
			basis = Propagated
		}
		for _, c := range e.asContributions(i) {
			c.Effect *= t.Coefficient
			parts = append(parts, c)
		}
	}
	for _, p := range parts {
		if math.IsNaN(p.Effect) || math.IsInf(p.Effect, 0) {
			e := Between(name, value, unit, Interval{math.Inf(-1), math.Inf(1), level}, basis, math.NaN())
			e.Warnings, e.Count = warnings, count
			return e, nil
		}
	}
	e, err := New(name, value, unit, level, basis, parts...)
	e.Warnings, e.Count = warnings, count
	return e, err
}

// Difference returns a − b at the level of a's interval (0.95 where that has
// none), in the unit of differences of a's kind.
//
// It fails as [Sum] does.
func Difference(name string, a, b Estimate) (Estimate, error) {
	level := a.Interval.Level
	if checkLevel(level) != nil {
		level = 0.95
	}
	return Sum(name, ofDifference(a.Unit), level, Term{1, a}, Term{-1, b})
}

// asContributions returns the contributions, or the whole uncertainty of the
// part of that number as one source of its own; an infinite effect where
// nothing is known about it.
func (e Estimate) asContributions(part int) []Contribution {
	if len(e.Contributions) > 0 || e.Interval.Width() == 0 {
		return e.Contributions
	}
	u := e.StandardUncertainty()
	if math.IsNaN(u) {
		u = math.Inf(1)
	}
	dof := e.DegreesOfFreedom
	if math.IsNaN(dof) {
		dof = 0
	}
	return []Contribution{{Source: Source{OtherSource, fmt.Sprintf("%s, part %d of a sum", e.Name, part+1)}, Effect: u, DegreesOfFreedom: dof}}
}

// ofDifference returns the unit in which a difference of two values in u is
// shown: kelvin, or °F of difference, for temperatures; u itself otherwise.
func ofDifference(u quantity.Unit) quantity.Unit {
	if u.Kind() != quantity.KindTemperature {
		return u
	}
	if u == quantity.KindTemperature.Unit("°F") {
		return quantity.KindTemperatureDifference.Unit("°F")
	}
	return quantity.KindTemperatureDifference.SI()
}
