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
			factor, offset, unit := shown(s.Dimension)
			p.YLabel = s.Dimension.String() + " (" + unit + ")"
			p.Lines = append(p.Lines, seriesLine(s, s.Name, Look(i), factor, offset))
		}
		f.Panels = append(f.Panels, p)
	}
	return f
}

// shown returns how an SI value of the dimension is shown to a person.
func shown(d series.Dimension) (factor, offset float64, unit string) {
	switch d {
	case series.Temperature:
		return 1, -273.15, "°C"
	case series.Speed:
		return 3.6, 0, "km/h"
	case series.Pressure:
		return 0.01, 0, "hPa"
	case series.RotationalSpeed:
		return 60, 0, "rpm"
	case series.Angle:
		return 57.29577951308232, 0, "°"
	}
	return 1, 0, d.Symbol()
}
