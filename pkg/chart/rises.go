package chart

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Rises draws the rise over ambient of every drive in every stratum, one look
// for each configuration. Strata that no drive has are left out.
func Rises(rises []compare.DriveRise) *Figure {
	reads := readingOf(unitsOf(rises), quantity.KindTemperatureDifference)
	p := reads.panel("rise over ambient", 1.2)
	p.ZeroLine = true
	f := &Figure{Title: "Rise of the intake over ambient, by kind of driving"}
	byName := map[string]int{}
	var strata []compare.StratumID
	for _, r := range rises {
		if math.IsNaN(float64(r.Mean)) {
			continue
		}
		column := slices.Index(strata, r.Identity())
		if column < 0 {
			column = len(strata)
			strata, f.Categories = append(strata, r.Identity()), append(f.Categories, r.Stratum)
		}
		i, seen := byName[r.Configuration]
		if !seen {
			i = len(p.Points)
			byName[r.Configuration] = i
			p.Points = append(p.Points, Points{Label: r.Configuration, Style: Look(i)})
		}
		q := &p.Points[i]
		q.X = append(q.X, float64(column)+0.12*float64(i))
		q.Y = append(q.Y, reads.of(float64(r.Mean)))
	}
	f.Panels = []Panel{p}
	return f
}
