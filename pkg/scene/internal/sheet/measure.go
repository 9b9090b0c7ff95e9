package sheet

import (
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
)

// Typeface is a sans-serif face that gonum/plot carries along, so that a
// picture is laid out alike on every machine.
var Typeface = font.Font{Typeface: "Liberation", Variant: "Sans"}

// Faces holds the typeface.
var Faces = font.NewCache(liberation.Collection())

// Width returns how wide a text is.
func Width(s string, size float64) float64 {
	face := Faces.Lookup(Typeface, font.Length(size))
	return float64(face.Width(s))
}

// Ascent and Descent are how far a line of text reaches above and below its
// baseline.
func Ascent(size float64) float64  { return 0.74 * size }
func Descent(size float64) float64 { return 0.22 * size }

// Before is how much of a text's width lies before its place.
func (t Text) Before() float64 {
	switch t.Anchor {
	case Middle:
		return Width(t.S, t.Size) / 2
	case End:
		return Width(t.S, t.Size)
	}
	return 0
}

// Box is the room that a text takes.
func (t Text) Box() Box {
	w, d := Width(t.S, t.Size), t.Before()
	left := t.X - d
	if t.Upright { // turned about its place
		return Box{t.X - Ascent(t.Size), t.Y + d - w, t.X + Descent(t.Size), t.Y + d}
	}
	return Box{left, t.Y - Ascent(t.Size), left + w, t.Y + Descent(t.Size)}
}
