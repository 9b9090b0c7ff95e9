package chart

import (
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Curve is one named curve for [Curves].
type Curve struct {
	Name string
	X, Y []float64
	// Lo and Hi bound a ribbon about the curve; empty for none.
	Lo, Hi []float64
}

// Curves draws curves over a common axis, such as torque over engine speed.
func Curves(title, xLabel, yLabel string, curves ...Curve) *Figure {
	p := Panel{YLabel: yLabel, Weight: 1.3}
	for i, c := range curves {
		if len(c.Lo) > 0 {
			p.Ribbons = append(p.Ribbons, Ribbon{Label: c.Name + ", range", X: c.X, Lo: c.Lo, Hi: c.Hi, Style: Look(i)})
		}
		p.Lines = append(p.Lines, Line{Label: c.Name, X: c.X, Y: c.Y, Style: Look(i)})
	}
	return &Figure{Title: title, XLabel: xLabel, Panels: []Panel{p}}
}

// Overlay draws series over each other in one panel for each group, with a
// shared time axis in minutes: clocks before and after alignment, raw and
// smoothed. Temperatures are shown in °C, speeds in km/h.
func Overlay(title string, groups ...[]*series.Series) *Figure {
	f := &Figure{Title: title, XLabel: "time (min)"}
	for _, g := range groups {
		var p Panel
		for i, s := range g {
			u := s.Dimension.Shown()
			p.YLabel = s.Dimension.String() + " (" + u.Symbol() + ")"
			p.Lines = append(p.Lines, seriesLine(s, s.Name, Look(i), u))
		}
		f.Panels = append(f.Panels, p)
	}
	return f
}
