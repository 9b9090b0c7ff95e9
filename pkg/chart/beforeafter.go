package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// BeforeAfter draws the rise over ambient of every drive in every stratum,
// two configurations side by side, with the mean and its interval. The caption
// names the drives left out.
func BeforeAfter(rises []compare.DriveRise, differences []compare.Difference, before, after string, leftOut ...drive.LeftOut) *Figure {
	reads := readingOf(unitsOf(rises), quantity.KindTemperatureDifference)
	p := reads.panel("rise over ambient", 1.5)
	p.ZeroLine = true
	f := &Figure{Title: fmt.Sprintf("%s (left) and %s (right)", before, after), Caption: leftOutCaption(leftOut)}
	sides := []struct {
		name  string
		shift float64
		style Style
		mean  func(compare.Difference) compare.Mean
	}{
		{before, -0.17, Style{Color: vermilion}, func(d compare.Difference) compare.Mean { return d.Before }},
		{after, +0.17, Style{Color: blue}, func(d compare.Difference) compare.Mean { return d.After }},
	}
	var shown []compare.Difference
	for _, d := range differences {
		if d.Before.Drives+d.After.Drives > 0 {
			shown = append(shown, d)
			f.Categories = append(f.Categories, d.Stratum)
		}
	}
	for _, s := range sides {
		each := Points{Label: s.name + ": one drive", Style: s.style}
		each.Style.Hollow = true
		mean := Points{Label: s.name + ": mean and interval", Style: s.style}
		for k, d := range shown {
			for _, r := range rises {
				if r.Identity() == d.Identity() && r.Configuration == s.name && !math.IsNaN(float64(r.Mean)) {
					each.X = append(each.X, float64(k)+s.shift-0.06)
					each.Y = append(each.Y, reads.of(float64(r.Mean)))
				}
			}
			m := s.mean(d)
			if m.Drives == 0 {
				continue
			}
			mean.X = append(mean.X, float64(k)+s.shift+0.06)
			mean.Y = append(mean.Y, reads.of(m.Rise.Value))
			mean.Lo = append(mean.Lo, bounded(reads.of(m.Rise.Interval.Low)))
			mean.Hi = append(mean.Hi, bounded(reads.of(m.Rise.Interval.High)))
		}
		p.Points = append(p.Points, each, mean)
	}
	f.Panels = []Panel{p}
	return f
}

// unitsOf are those in which the drives' owner reads.
func unitsOf(rises []compare.DriveRise) quantity.Preferred {
	if len(rises) == 0 {
		return quantity.Preferred{}
	}
	return rises[0].ReadIn()
}

// bounded turns the infinite interval of a single drive into none.
func bounded(x float64) float64 {
	if math.IsInf(x, 0) {
		return math.NaN()
	}
	return x
}

// Differences draws after minus before in every stratum with its interval. Zero
// inside an interval is no proof that nothing changed: what may be said stands in
// [compare.Difference.Verdict]. The caption names the drives left out.
func Differences(differences []compare.Difference, leftOut ...drive.LeftOut) *Figure {
	var units quantity.Preferred
	if len(differences) > 0 {
		units = differences[0].Units
	}
	reads := readingOf(units, quantity.KindTemperatureDifference)
	p := reads.panel("change of the rise", 1)
	p.ZeroLine = true
	f := &Figure{Title: "What the change did: after minus before", Caption: leftOutCaption(leftOut)}
	if len(differences) > 0 {
		if v := differences[0].Change.Interval; v.Level > 0 {
			f.Title += fmt.Sprintf(", median and %.0f %% interval", 100*v.Level)
		}
	}
	q := Points{Label: "after minus before, with interval", Style: Style{Color: blue}}
	for _, d := range differences {
		if math.IsNaN(d.Change.Value) {
			continue
		}
		q.X = append(q.X, float64(len(f.Categories)))
		q.Y = append(q.Y, reads.of(d.Change.Value))
		q.Lo = append(q.Lo, bounded(reads.of(d.Change.Interval.Low)))
		q.Hi = append(q.Hi, bounded(reads.of(d.Change.Interval.High)))
		f.Categories = append(f.Categories, d.Stratum)
	}
	p.Points = []Points{q}
	f.Panels = []Panel{p}
	return f
}
