package chart

import (
	"math"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Curve is one named curve for [Curves].
type Curve struct {
	Name string
	X, Y []float64
	// Lo and Hi bound a ribbon about the curve; empty for none.
	Lo, Hi []float64
	// Unit is that of Y. A temperature or a speed gets its other unit on the
	// right, as [OtherScale] has it; the zero value has none.
	Unit quantity.Unit
}

// Curves draws curves over a common axis, such as torque over engine speed. What
// the title says is followed by where the first curve begins and ends. The scale
// holds zero, so that what looks twice as much is, but for temperatures, whose zero
// means nothing.
func Curves(title, xLabel, yLabel string, curves ...Curve) *Figure {
	p := Panel{YLabel: yLabel, Weight: 1.3, ZeroLine: !ofTemperature(yLabel)}
	for i, c := range curves {
		if len(c.Lo) > 0 {
			p.Ribbons = append(p.Ribbons, Ribbon{Label: c.Name + ", range", X: c.X, Lo: c.Lo, Hi: c.Hi, Style: Look(i)})
		}
		p.Lines = append(p.Lines, Line{Label: c.Name, X: c.X, Y: c.Y, Style: Look(i)})
	}
	if len(curves) > 0 {
		p.Right = OtherScale(curves[0].Unit)
		title += ends(curves[0], xLabel, yLabel)
	}
	return &Figure{Title: title, XLabel: xLabel, Panels: []Panel{p}}
}

// ofTemperature reports whether a label ends with a unit of temperature.
func ofTemperature(label string) bool {
	return strings.HasSuffix(label, "(°C)") || strings.HasSuffix(label, "(°F)")
}

// ends says where a curve begins and ends.
func ends(c Curve, xLabel, yLabel string) string {
	first, last := -1, -1
	for i := range min(len(c.X), len(c.Y)) {
		if math.IsNaN(c.X[i]) || math.IsNaN(c.Y[i]) {
			continue
		}
		if first < 0 {
			first = i
		}
		last = i
	}
	if first == last {
		return ""
	}
	digits := 0 // so that begin and end differ by two figures at least
	if apart := math.Abs(c.Y[last] - c.Y[first]); apart > 0 {
		digits = max(0, 1-int(math.Floor(math.Log10(apart))))
	}
	at := func(i int) string {
		return withUnit(number("%."+strconv.Itoa(digits)+"f", c.Y[i]), yLabel) + " at " + withUnit(number("%.6g", c.X[i]), xLabel)
	}
	return ": " + strings.TrimSpace(c.Name+" "+at(first)) + ", " + at(last)
}

// withUnit adds the unit that a label has in brackets.
func withUnit(value, label string) string {
	if i := strings.LastIndex(label, " ("); i >= 0 && strings.HasSuffix(label, ")") {
		return value + " " + label[i+2:len(label)-1]
	}
	return value
}

// Overlay draws series over each other in one panel for each group, with a
// shared time axis in minutes: clocks before and after alignment, raw and
// smoothed. Temperatures are shown in °C with °F on the right, speeds in km/h with
// mph. The title is followed by what is seen: how far two series begin or lie apart,
// else which values they span.
func Overlay(title string, groups ...[]*series.Series) *Figure {
	f := &Figure{Title: title, XLabel: "time (min)"}
	for _, g := range groups {
		var p Panel
		for i, s := range g {
			u := s.Dimension.Shown()
			p.YLabel, p.Right = s.Dimension.String()+" ("+u.Symbol()+")", OtherScale(u)
			p.Lines = append(p.Lines, seriesLine(s, s.Name, Look(i), u))
		}
		f.Panels = append(f.Panels, p)
	}
	if title == "" {
		f.Title = spanned(f.Panels, ": ")
		return f
	}
	found := spanned(f.Panels, " from ")
	if len(groups) == 1 && len(groups[0]) == 2 {
		if two := apart(groups[0][0], groups[0][1], f.Panels[0].YLabel); two != "" {
			found = two
		}
	}
	if found != "" {
		f.Title += ": " + found
	}
	return f
}

// apart says how far two series begin apart where that shows on their axis, else how
// far their values lie apart; empty where neither is known.
func apart(a, b *series.Series, label string) string {
	const shows = 0.02 // of the axis
	if a.Present() == 0 || b.Present() == 0 {
		return ""
	}
	p, q := a.Interval(), b.Interval()
	if later := q.From - p.From; math.Abs(later) > shows*(math.Max(p.To, q.To)-math.Min(p.From, q.From)) {
		if later < 0 {
			a, b = b, a
		}
		return b.Name + " begins " + number("%.1f", math.Abs(later)/60) + " min after " + a.Name
	}
	unit := a.Dimension.Shown()
	sum, n := 0.0, 0
	for i, t := range a.Time {
		if d := math.Abs(unit.FromSI(b.Lookup(t, drive.MaxGap)) - unit.FromSI(a.Value[i])); !math.IsNaN(d) {
			sum, n = sum+d, n+1
		}
	}
	if n == 0 {
		return ""
	}
	mean := number("%.2g", sum/float64(n))
	if a.Dimension == series.Temperature {
		mean += " K"
	} else {
		mean = withUnit(mean, label)
	}
	return a.Name + " and " + b.Name + " are " + mean + " apart on average"
}

// spanned says of each panel which lines have values and, after a word between, from where to
// where it goes.
func spanned(panels []Panel, joint string) string {
	var all []string
	for _, p := range panels {
		var names []string
		low, high := math.Inf(1), math.Inf(-1)
		for _, l := range p.Lines {
			before := len(names)
			for _, y := range l.Y {
				if !math.IsNaN(y) {
					low, high = math.Min(low, y), math.Max(high, y)
					names = append(names[:before], l.Label)
				}
			}
		}
		text := strings.Join(names, ", ")
		if low <= high {
			text += joint + withUnit(between("%.0f", low, high), p.YLabel)
		}
		all = append(all, text)
	}
	return strings.Join(all, "; ")
}
