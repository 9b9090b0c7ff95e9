package chart

import (
	"fmt"
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
	f := &Figure{Title: risesTitle(rises, reads)}
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
			p.Points = append(p.Points, Points{Label: r.Configuration, Style: ConfigurationLook(i)})
		}
		q := &p.Points[i]
		q.X = append(q.X, float64(column)+0.12*float64(i))
		q.Y = append(q.Y, reads.of(float64(r.Mean)))
		value := ""
		if alone(rises, r) {
			value = number("%.1f", reads.of(float64(r.Mean)))
		}
		q.Values = append(q.Values, value)
	}
	f.Panels = []Panel{p}
	return f
}

// alone reports whether no other drive of the configuration has the stratum.
func alone(rises []compare.DriveRise, r compare.DriveRise) bool {
	n := 0
	for _, o := range rises {
		if o.Configuration == r.Configuration && o.Identity() == r.Identity() && !math.IsNaN(float64(o.Mean)) {
			n++
		}
	}
	return n == 1
}

// risesTitle says on which kind of driving the intake is warmest and coolest.
func risesTitle(rises []compare.DriveRise, reads reading) string {
	var least, most *compare.DriveRise
	for i, r := range rises {
		if math.IsNaN(float64(r.Mean)) {
			continue
		}
		if least == nil || r.Mean < least.Mean {
			least = &rises[i]
		}
		if most == nil || r.Mean > most.Mean {
			most = &rises[i]
		}
	}
	switch {
	case most == nil:
		return "No drive has enough of any kind of driving"
	case most.Identity() == least.Identity():
		return fmt.Sprintf("Intake over ambient, %s: %s", most.Stratum, reads.span("%.1f", float64(least.Mean), float64(most.Mean)))
	}
	return fmt.Sprintf("Intake over ambient: most %s (%s), least %s (%s)", most.Stratum, reads.say("%.1f", float64(most.Mean)), least.Stratum, reads.say("%.1f", float64(least.Mean)))
}
