package chart

import (
	"math"
	"strconv"
	"strings"

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
// the title says is followed by where the first curve begins and ends.
func Curves(title, xLabel, yLabel string, curves ...Curve) *Figure {
	p := Panel{YLabel: yLabel, Weight: 1.3}
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
// mph. An empty title is made of the names and of the values that they span.
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
		f.Title = spanned(f.Panels)
	}
	return f
}

// spanned says of each panel what is drawn and from where to where it goes.
func spanned(panels []Panel) string {
	var all []string
	for _, p := range panels {
		var names []string
		low, high := math.Inf(1), math.Inf(-1)
		for _, l := range p.Lines {
			names = append(names, l.Label)
			for _, y := range l.Y {
				if !math.IsNaN(y) {
					low, high = math.Min(low, y), math.Max(high, y)
				}
			}
		}
		text := strings.Join(names, ", ")
		if low <= high {
			text += ": " + withUnit(between("%.0f", low, high), p.YLabel)
		}
		all = append(all, text)
	}
	return strings.Join(all, "; ")
}
