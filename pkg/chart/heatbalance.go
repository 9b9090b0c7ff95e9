package chart

import (
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// HeatBalance draws the parts of the intake's rise, each with its 95 % interval;
// the first three add up to the fourth. Parts that the channels do not give are
// left out.
func HeatBalance(a heat.Analysis) *Figure {
	f := &Figure{Title: a.Drive + ": where the intake's heat comes from"}
	reads := readingOf(a.ReadIn(), quantity.KindTemperatureDifference)
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
		q.Y = append(q.Y, reads.of(part.Value))
		q.Lo, q.Hi = append(q.Lo, reads.of(part.Interval.Low)), append(q.Hi, reads.of(part.Interval.High))
		f.Categories = append(f.Categories, part.name)
	}
	p := reads.panel("above ambient", 1)
	p.Points, p.ZeroLine = []Points{q}, true
	f.Panels = []Panel{p}
	return f
}
