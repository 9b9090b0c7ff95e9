// Package sheet is a picture that is laid out: every line, dot and word with
// its place, in the order of drawing. Whoever draws it adds nothing, so that
// all drawn forms of a picture say the same.
//
// Lengths are points (1/72 inch) from the upper left corner, y downwards.
package sheet

import "image/color"

// Sheet is one picture of Width by Height.
type Sheet struct {
	Width, Height float64
	Title         string
	Plots         []Plot
	Items         []Item
}

// Plot is a data area with its axes.
type Plot struct {
	Box Box
	// X and Y are the data at the box' left and right, bottom and top edge.
	X, Y Range
	// Axis names the horizontal axis, Below is the second scale under it.
	Axis  string
	Below *Scale
	// Group numbers the horizontal axes: plots of one group show the same
	// stretch.
	Group int
	// Categories names the positions 0, 1, 2… of an axis without numbers.
	Categories []string
	// Unit is that of the vertical axis, Second the second scale beside it.
	Unit   string
	Second *Scale
	// Rows names the positions n … 1 of the vertical axis; empty for numbers.
	Rows []string
}

// Box is a rectangle on the sheet.
type Box struct{ Left, Top, Right, Bottom float64 }

// Overlaps reports whether two boxes share an area.
func (b Box) Overlaps(c Box) bool {
	return b.Left < c.Right && c.Left < b.Right && b.Top < c.Bottom && c.Top < b.Bottom
}

// Range is what lies at two opposite edges.
type Range struct{ From, To float64 }

// Scale shows Factor·y + Offset in a unit.
type Scale struct {
	Unit           string
	Factor, Offset float64
}

// First returns which value on the first scale the second one shows as v.
func (s Scale) First(v float64) float64 { return (v - s.Offset) / s.Factor }

// AtX returns where a value of the horizontal axis lies.
func (p Plot) AtX(v float64) float64 {
	return p.Box.Left + (v-p.X.From)/(p.X.To-p.X.From)*(p.Box.Right-p.Box.Left)
}

// AtY returns where a value of the vertical axis lies.
func (p Plot) AtY(v float64) float64 {
	return p.Box.Bottom - (v-p.Y.From)/(p.Y.To-p.Y.From)*(p.Box.Bottom-p.Box.Top)
}

// Movement says what becomes of an item when a stretch of the horizontal axis
// is shown alone.
type Movement int

const (
	Fixed     Movement = iota // stays
	Stretches                 // its shape is stretched with the axis
	Follows                   // keeps its shape and moves with the axis
	OfAxis                    // is drawn anew: ticks, their numbers and grid lines
	OfBelow                   // the same for the second scale under the axis
)

// Item is one thing to draw: a text or a shape.
type Item struct {
	// Plot is the plot whose box clips the item and along whose axis it
	// moves; None for what stands outside of them.
	Plot int
	Movement
	// At is the place on the sheet's x that an item which follows belongs to.
	At    float64
	Words *Text
	Shape *Shape
}

// None is the Plot of items outside of all plots, which are fixed.
const None = -1

// Anchor says which part of a text lies at its place.
type Anchor int

const (
	Start Anchor = iota
	Middle
	End
)

// Text is a line of text on its baseline.
type Text struct {
	X, Y   float64
	S      string
	Size   float64 // of the type, in points
	Color  color.NRGBA
	Anchor Anchor
	// Upright is read from bottom to top.
	Upright bool
	// Halo sets the text off from what lies below it.
	Halo bool
}

// Point is a place on the sheet.
type Point struct{ X, Y float64 }

// Shape is a set of lines, an area or a set of dots.
type Shape struct {
	// Runs are lines, outlines of areas, or single dots.
	Runs [][]Point
	// Stroke draws lines where its width is above 0.
	Stroke Stroke
	// Fill fills the runs as areas where its alpha is above 0.
	Fill color.NRGBA
	// Dots draws every point as a dot of the stroke's width, Hollow as a ring.
	Dots, Hollow bool
	// Name is that of the channel whose values the shape shows, for reading
	// them off; empty for all other shapes.
	Name string
}

// Ring is the width of the line that a hollow dot is drawn with, inside the dot's
// width.
const Ring = 1.2

// Stroke is how a line is drawn.
type Stroke struct {
	Color color.NRGBA
	Width float64
	Dash  []float64 // lengths drawn and left out in turn; empty is solid
}
