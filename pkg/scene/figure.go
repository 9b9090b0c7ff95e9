// Package scene describes a picture once, as panels with curves, points, bands
// and events, and draws it in every form: a still picture, one to explore in a
// page, and a Vega-Lite document. All forms come from the one description; the
// first two also share one layout, so that neither can say more than the other.
// It computes nothing.
package scene

import (
	"image/color"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// Figure is one or more panels under each other that share a horizontal axis.
type Figure struct {
	Title  string
	XLabel string
	// Below is a second scale under the horizontal axis, such as mph under km/h;
	// nil for none.
	Below  *RightScale
	Panels []Panel
	// Width and Height in points (1/72 inch); 0 takes 620 wide and as high as
	// the panels want.
	Width, Height float64
	// Caption is a line or more below the picture: what the reader of the
	// picture alone must know.
	Caption []string
	// Categories names the horizontal positions 0, 1, 2…; empty for numbers.
	Categories []string
	// Columns is how many panels stand beside one another, as many fewer as a
	// narrow page asks for; 0 and 1 are one. Panels beside one another share
	// their vertical axis: its numbers stand at both ends of a row.
	Columns int
}

// Axis is a horizontal axis of a panel's own, drawn below it. Panels under one
// another that hold the same Axis share it.
type Axis struct {
	Label string
	Below *RightScale // a second scale under it; nil for none
	// From and To are what it spans; both 0 take what the data span.
	From, To float64
	// Categories names the positions 0, 1, 2…; empty for numbers.
	Categories []string
}

// Limits is the vertical span of a panel. What lies beyond is cut off.
type Limits struct{ From, To float64 }

// Panel is one plot of a figure. One without any data is left out.
type Panel struct {
	// Name stands above the panel, beside what YLabel says of its axis.
	Name   string
	YLabel string
	// Axis is the panel's own horizontal axis; nil for that of the figure.
	Axis *Axis
	// Limits is what the vertical axis spans; nil for what the data span.
	Limits *Limits
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

// RightScale shows Factor·y + Offset on the right of a panel, or Factor·x + Offset
// below an axis.
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
	// Values stand beside the points, where there is room; empty for none, else
	// as long as X.
	Values []string
	Style  Style
}

// Band shades a span of the horizontal axis.
type Band struct {
	Label    string
	From, To float64
	Color    color.NRGBA
}

// Marker is an event: a vertical line with a label.
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

// ink is the colour of words and of lines without a colour.
var (
	ink   = color.NRGBA{0x1c, 0x23, 0x26, 255}
	faint = color.NRGBA{0x5f, 0x68, 0x6c, 255}
	light = color.NRGBA{0xdd, 0xdd, 0xdd, 255}
)

func (s Style) color() color.NRGBA {
	if s.Color.A == 0 {
		return ink
	}
	return s.Color
}

func (s Style) stroke() sheet.Stroke {
	w := s.Width
	if w == 0 {
		w = 1.2
	}
	return sheet.Stroke{Color: s.color(), Width: w, Dash: s.Dash}
}

func opaque(c color.NRGBA) color.NRGBA {
	c.A = 255
	return c
}

// tinted is the colour of an area below curves.
func tinted(c color.NRGBA) color.NRGBA {
	c.A = 60
	return c
}
