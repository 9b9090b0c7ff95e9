// Package chart draws drives, evidence and comparisons. It computes nothing:
// what it shows was worked out elsewhere.
//
// A cell shows a figure as a static picture; Save writes it as PNG or SVG, and
// VegaLite returns a document for whoever wants it interactive. Lines differ in
// colour and dash, so that they can be told apart without colour. The colours
// are those of Okabe and Ito, "Color Universal Design" (2008), chosen
// to be told apart by colour-blind readers.
package chart

import "image/color"

// Figure is one or more panels under each other that share a horizontal axis.
type Figure struct {
	Title  string
	XLabel string
	Panels []Panel
	// Width and Height in points (1/72 inch); 0 takes 620 wide and as high as
	// the panels want.
	Width, Height float64
	// Caption is a line or more below the picture: what the reader of the
	// picture alone must know.
	Caption []string
	// Categories names the horizontal positions 0, 1, 2…; empty for numbers.
	Categories []string
}

// Panel is one plot of a figure.
type Panel struct {
	YLabel string
	// Right is a second scale for the same lines, such as °F beside °C; nil
	// for none.
	Right   *RightScale
	Lines   []Line
	Ribbons []Ribbon
	Points  []Points
	Bands   []Band
	Markers []Marker
	// Weight is the panel's share of the height; 0 counts as 1.
	Weight float64
	// Rows names the vertical positions n, n−1 … 1 from top to bottom instead
	// of numbers; empty for numbers.
	Rows []string
	// ZeroLine draws the horizontal axis through y = 0 when it is in range.
	ZeroLine bool
}

// RightScale shows Factor·y + Offset on the right.
type RightScale struct {
	Label          string
	Factor, Offset float64
}

// Line is a curve; it breaks where Y is NaN. X ascends.
type Line struct {
	Label string
	X, Y  []float64
	Style Style
}

// Ribbon is the area between two curves, such as an interval.
type Ribbon struct {
	Label     string
	X, Lo, Hi []float64
	Style     Style
}

// Points are symbols with optional error bars from Lo to Hi.
type Points struct {
	Label  string
	X, Y   []float64
	Lo, Hi []float64 // empty for none, else as long as X
	Style  Style
}

// Band shades a span of the horizontal axis.
type Band struct {
	Label    string
	From, To float64
	Color    color.NRGBA
}

// Marker is a vertical line with a label.
type Marker struct {
	X     float64
	Label string
	Style Style
}

// Style is how a line or symbol looks. The zero value is a thin solid line in
// the text's colour.
type Style struct {
	Color color.NRGBA
	// Dash alternates drawn and left-out lengths in points; nil is solid.
	Dash []float64
	// Width in points; 0 takes 1.2.
	Width float64
	// Hollow draws symbols as rings.
	Hollow bool
}
