package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// BeforeAfter draws the rise over ambient of every drive in every stratum,
// two configurations side by side, and of two drives and more their mean with its
// interval; one drive has neither. The title says what came of it, the caption
// how many drives there are, what the intervals are, and which drives were left
// out.
func BeforeAfter(rises []compare.DriveRise, differences []compare.Difference, before, after string, leftOut ...drive.LeftOut) *Figure {
	reads := readingOf(unitsOf(rises), quantity.KindTemperatureDifference)
	p := reads.panel("rise over ambient", 1.5)
	p.ZeroLine = true
	f := &Figure{Title: comparisonTitle(differences, before, after)}
	sides := []struct {
		name  string
		shift float64
		style Style
		mean  func(compare.Difference) compare.Mean
	}{
		{before, -0.17, Style{Color: ConfigurationLook(0).Color}, func(d compare.Difference) compare.Mean { return d.Before }},
		{after, +0.17, Style{Color: ConfigurationLook(1).Color}, func(d compare.Difference) compare.Mean { return d.After }},
	}
	var shown []compare.Difference
	for _, d := range differences {
		if d.Before.Drives+d.After.Drives > 0 {
			shown = append(shown, d)
			f.Categories = append(f.Categories, d.Stratum)
		}
	}
	level := math.NaN()
	for _, s := range sides {
		each := Points{Label: s.name + ": one drive", Style: s.style}
		each.Style.Hollow = true
		mean := Points{Label: s.name + ": mean and interval", Style: s.style}
		for k, d := range shown {
			for _, r := range rises {
				if r.Identity() == d.Identity() && r.Configuration == s.name && !math.IsNaN(float64(r.Mean)) {
					each.X = append(each.X, float64(k)+s.shift-0.06)
					each.Y = append(each.Y, reads.of(float64(r.Mean)))
					value := "" // stands beside the mean
					if s.mean(d).Drives < 2 {
						value = number("%.1f", reads.of(float64(r.Mean)))
					}
					each.Values = append(each.Values, value)
				}
			}
			m := s.mean(d)
			if m.Drives < 2 {
				continue
			}
			level = m.Rise.Interval.Level
			mean.X = append(mean.X, float64(k)+s.shift+0.06)
			mean.Y = append(mean.Y, reads.of(m.Rise.Value))
			mean.Lo = append(mean.Lo, bounded(reads.of(m.Rise.Interval.Low)))
			mean.Hi = append(mean.Hi, bounded(reads.of(m.Rise.Interval.High)))
			mean.Values = append(mean.Values, number("%.1f", reads.of(m.Rise.Value)))
		}
		for _, q := range []Points{each, mean} {
			if len(q.X) > 0 {
				p.Points = append(p.Points, q)
			}
		}
	}
	f.Caption = append(drivesCaption(rises, level, before, after), leftOutCaption(leftOut)...)
	f.Panels = []Panel{p}
	return f
}

// drivesCaption counts the drives of both sides and says what an interval is.
func drivesCaption(rises []compare.DriveRise, level float64, before, after string) []string {
	count := map[string]map[string]bool{before: {}, after: {}}
	for _, r := range rises {
		if c, ok := count[r.Configuration]; ok && !math.IsNaN(float64(r.Mean)) {
			c[r.Drive] = true
		}
	}
	text := fmt.Sprintf("%s: %s; %s: %s.", before, counted(len(count[before]), "drive"), after, counted(len(count[after]), "drive"))
	if math.IsNaN(level) || level == 0 {
		return []string{text + " One drive has no interval."}
	}
	return []string{text + fmt.Sprintf(" Bars: %.3g %% intervals of the mean, from how far drives differ and what both probes may be off.", 100*level)}
}

// comparisonTitle counts on how many kinds of driving the change did what.
func comparisonTitle(differences []compare.Difference, before, after string) string {
	count := map[compare.Verdict]int{}
	compared := 0
	for _, d := range differences {
		if d.Before.Drives > 0 && d.After.Drives > 0 {
			compared++
			count[d.Verdict]++
		}
	}
	if compared == 0 {
		if before == "" || after == "" {
			return "Nothing to compare: the drives have one configuration"
		}
		return fmt.Sprintf("Nothing to compare: no kind of driving has drives with %s and with %s", before, after)
	}
	var words []string
	for _, v := range []compare.Verdict{compare.Cooler, compare.Warmer, compare.WithinDelta, compare.Undecided, compare.NotComparable} {
		if n := count[v]; n > 0 {
			words = append(words, fmt.Sprintf("%v in %d", v, n))
		}
	}
	return fmt.Sprintf("%s after %s: %s of %s of driving", after, before, strings.Join(words, ", "), counted(compared, "kind"))
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

// Differences draws after minus before in every stratum with its interval; of one
// drive a side there is none. Zero
// inside an interval is no proof that nothing changed: what may be said stands in
// [compare.Difference.Verdict], and for the stratum of the question in the title.
// The caption names the drives left out.
func Differences(differences []compare.Difference, leftOut ...drive.LeftOut) *Figure {
	var units quantity.Preferred
	if len(differences) > 0 {
		units = differences[0].Units
	}
	reads := readingOf(units, quantity.KindTemperatureDifference)
	p := reads.panel("change of the rise", 1)
	p.ZeroLine = true
	f := &Figure{Title: "Nothing to compare: no kind of driving was met before and after"}
	differences = slices.DeleteFunc(slices.Clone(differences), func(d compare.Difference) bool { return math.IsNaN(d.Change.Value) })
	alike := sameDrives(differences)
	told, barred := Points{Style: Style{Color: blue}}, Points{Label: "nothing may be concluded", Style: Style{Color: grey, Hollow: true}}
	for _, d := range differences {
		q := &told
		if d.Verdict == compare.NotComparable {
			q = &barred
		}
		q.X = append(q.X, float64(len(f.Categories)))
		q.Y = append(q.Y, reads.of(d.Change.Value))
		v := intervalOf(d)
		q.Lo = append(q.Lo, bounded(reads.of(v.Low)))
		q.Hi = append(q.Hi, bounded(reads.of(v.High)))
		q.Values = append(q.Values, number("%+.1f", reads.of(d.Change.Value)))
		name := d.Stratum
		if d.Primary {
			name += "\n(the question)"
		}
		if !alike {
			name += fmt.Sprintf("\n%d + %d drives", d.Before.Drives, d.After.Drives)
		}
		f.Categories = append(f.Categories, name)
		if d.Primary || len(f.Categories) == 1 {
			f.Title = changeTitle(d, reads)
		}
	}
	for _, q := range []Points{told, barred} {
		if len(q.X) > 0 {
			p.Points = append(p.Points, q)
		}
	}
	if len(p.Points) > 0 {
		if alike {
			f.Caption = []string{fmt.Sprintf("%d + %d drives.", differences[0].Before.Drives, differences[0].After.Drives)}
		}
		if i := slices.IndexFunc(differences, func(d compare.Difference) bool { return intervalOf(d).Known() }); i < 0 {
			f.Caption = append(f.Caption, "After minus before. One drive a side has no interval.")
		} else {
			f.Caption = append(f.Caption, fmt.Sprintf("After minus before: dots are medians, bars %.3g %% intervals, from drives that differ; what both sides' probes share drops out.", 100*differences[i].Change.Interval.Level))
		}
	}
	if p.Limits = whatMatters(differences, reads); p.Limits != nil {
		f.Caption = append(f.Caption, "Bars that reach an edge go on beyond it.")
	}
	f.Caption = append(f.Caption, leftOutCaption(leftOut)...)
	f.Panels = []Panel{p}
	return f
}

// whatMatters is the scale for all changes, zero and the interval of the question,
// with as much again to both sides for other intervals; nil where that holds them
// all.
func whatMatters(differences []compare.Difference, reads reading) *Limits {
	low, high, least, most := 0.0, 0.0, 0.0, 0.0
	take := func(v float64) {
		if v = reads.of(v); !math.IsNaN(v) && !math.IsInf(v, 0) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	for i, d := range differences {
		take(d.Change.Value)
		if d.Primary || i == 0 && !slices.ContainsFunc(differences, func(d compare.Difference) bool { return d.Primary }) {
			take(intervalOf(d).Low)
			take(intervalOf(d).High)
		}
	}
	room := high - low
	for _, d := range differences {
		if v := intervalOf(d); v.Known() && !math.IsInf(v.Low, 0) && !math.IsInf(v.High, 0) {
			least, most = min(least, reads.of(v.Low)), max(most, reads.of(v.High))
		}
	}
	if !(least < low-room || most > high+room) {
		return nil
	}
	return &Limits{From: math.Max(low-room, least-0.06*room), To: math.Min(high+room, most+0.06*room)}
}

// intervalOf is what is drawn of a change: nothing of one drive a side, whose
// interval would be what is supposed of drives beforehand.
func intervalOf(d compare.Difference) estimate.Interval {
	if compare.OneEach(d.Before.Drives, d.After.Drives) {
		return estimate.Interval{Low: math.NaN(), High: math.NaN(), Level: math.NaN()}
	}
	return d.Change.Interval
}

// sameDrives reports whether as many drives stand behind each difference.
func sameDrives(differences []compare.Difference) bool {
	for _, d := range differences {
		if d.Before.Drives != differences[0].Before.Drives || d.After.Drives != differences[0].After.Drives {
			return false
		}
	}
	return true
}

// changeTitle is what may be said of one kind of driving.
func changeTitle(d compare.Difference, reads reading) string {
	v := d.Change.Interval
	size := func(value float64) string { return reads.say("%.1f", math.Abs(value)) }
	all := fmt.Sprintf("(%.3g %%: %s)", 100*v.Level, reads.span("%+.1f", v.Low, v.High))
	switch d.Verdict {
	case compare.Cooler:
		return fmt.Sprintf("%s: the intake is %s cooler %s", d.Stratum, size(d.Change.Value), all)
	case compare.Warmer:
		return fmt.Sprintf("%s: the intake is %s warmer %s", d.Stratum, size(d.Change.Value), all)
	case compare.NotComparable:
		return fmt.Sprintf("%s: %v, with %d + %d drives", d.Stratum, d.Verdict, d.Before.Drives, d.After.Drives)
	}
	return fmt.Sprintf("%s: %v %s", d.Stratum, d.Verdict, all)
}
