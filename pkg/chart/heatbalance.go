package chart

import (
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
)

// HeatBalance draws the parts of the intake's rise in kelvin, each with its
// 95 % interval; the first three add up to the fourth. Parts that the channels
// do not give are left out.
func HeatBalance(a heat.Analysis) *Figure {
	f := &Figure{Title: a.Drive + ": where the intake's heat comes from"}
	q := Points{Label: "estimate with 95 % interval", Style: Style{Color: vermilion}}
	for _, part := range []struct {
		name string
		estimate.Estimate
	}{
		{"before opening", a.RiseBefore},
		{"from the radiator", a.FromRadiator},
		{"speed, warming up", a.Rest},
		{"settled driving", a.RiseAfter},
		{"gathered on the way", a.PickUp},
		{"soak at stops", a.HeatSoak},
	} {
		if !part.Known() || part.Basis == estimate.NoBasis {
			continue
		}
		q.X = append(q.X, float64(len(f.Categories)))
		q.Y = append(q.Y, part.Value)
		q.Lo, q.Hi = append(q.Lo, part.Interval.Low), append(q.Hi, part.Interval.High)
		f.Categories = append(f.Categories, part.name)
	}
	f.Panels = []Panel{{YLabel: "kelvin over ambient", Right: FahrenheitDegrees(), Points: []Points{q}, ZeroLine: true}}
	return f
}
