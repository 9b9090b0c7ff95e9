// Package raster draws a sheet as a still picture: PNG or SVG.
package raster

import (
	"bytes"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// DotsPerInch makes a picture sharp at notebook width and on dense screens.
const DotsPerInch = 160

// PNG returns the sheet as a PNG picture on white.
func PNG(s sheet.Sheet) ([]byte, error) {
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(s.Width), vg.Length(s.Height)), vgimg.UseDPI(DotsPerInch))
	return written(s, draw.New(c), vgimg.PngCanvas{Canvas: c})
}

// SVG returns the sheet as an SVG document on white.
func SVG(s sheet.Sheet) ([]byte, error) {
	c := vgsvg.New(vg.Length(s.Width), vg.Length(s.Height))
	return written(s, draw.New(c), c)
}

func written(s sheet.Sheet, c draw.Canvas, w io.WriterTo) ([]byte, error) {
	p := painter{s, c}
	p.paint()
	var b bytes.Buffer
	_, err := w.WriteTo(&b)
	return b.Bytes(), err
}

// painter turns y around: a canvas counts it upwards.
type painter struct {
	sheet  sheet.Sheet
	canvas draw.Canvas
}

func (p painter) paint() {
	p.canvas.SetColor(color.White)
	p.canvas.Fill(p.canvas.Rectangle.Path())
	for _, it := range p.sheet.Items {
		c := p.canvas
		if it.Plot != sheet.None && it.Movement == sheet.Stretches {
			b := p.sheet.Plots[it.Plot].Box
			c.Rectangle = vg.Rectangle{Min: p.at(sheet.Point{X: b.Left, Y: b.Bottom}), Max: p.at(sheet.Point{X: b.Right, Y: b.Top})}
		}
		if it.Shape != nil {
			p.shape(c, *it.Shape)
		}
		if it.Words != nil {
			p.text(*it.Words)
		}
	}
}

func (p painter) at(q sheet.Point) vg.Point {
	return vg.Point{X: vg.Length(q.X), Y: vg.Length(p.sheet.Height - q.Y)}
}

func (p painter) run(all []sheet.Point) []vg.Point {
	out := make([]vg.Point, len(all))
	for i, q := range all {
		out[i] = p.at(q)
	}
	return out
}

func (p painter) shape(c draw.Canvas, s sheet.Shape) {
	style := draw.LineStyle{Color: s.Stroke.Color, Width: vg.Length(s.Stroke.Width)}
	for _, d := range s.Stroke.Dash {
		style.Dashes = append(style.Dashes, vg.Length(d))
	}
	for _, r := range s.Runs {
		points := p.run(r)
		if s.Fill.A > 0 && len(points) > 2 {
			c.FillPolygon(s.Fill, c.ClipPolygonXY(points))
		}
		switch {
		case s.Dots:
			p.dots(c, s, points)
		case s.Stroke.Width > 0 && len(points) == 1:
			c.DrawGlyph(draw.GlyphStyle{Color: style.Color, Radius: style.Width, Shape: draw.CircleGlyph{}}, points[0])
		case s.Stroke.Width > 0:
			for _, piece := range pieces(points) {
				c.StrokeLines(style, c.ClipLinesXY(piece)...)
			}
		}
	}
}

// pieces cuts a long line: the rasteriser's time grows with the square of how
// often one line crosses a row of pixels.
func pieces(points []vg.Point) (all [][]vg.Point) {
	const most = 120
	for len(points) > most {
		all = append(all, points[:most])
		points = points[most-1:]
	}
	return append(all, points)
}

func (p painter) dots(c draw.Canvas, s sheet.Shape, points []vg.Point) {
	g := draw.GlyphStyle{Color: s.Stroke.Color, Radius: vg.Length(s.Stroke.Width / 2), Shape: draw.CircleGlyph{}}
	for _, q := range points {
		if !s.Hollow {
			c.DrawGlyph(g, q)
			continue
		}
		g.Radius = vg.Length((s.Stroke.Width - sheet.Ring) / 2)
		c.SetLineStyle(draw.LineStyle{Color: s.Stroke.Color, Width: sheet.Ring})
		var ring vg.Path
		ring.Move(vg.Point{X: q.X + g.Radius, Y: q.Y})
		ring.Arc(q, g.Radius, 0, 2*math.Pi)
		ring.Close()
		c.Stroke(ring)
	}
}

func (p painter) text(t sheet.Text) {
	face := sheet.Faces.Lookup(sheet.Typeface, font.Length(t.Size))
	shift := vg.Length(-t.Before())
	if t.Halo {
		b := t.Box()
		p.canvas.FillPolygon(color.NRGBA{255, 255, 255, 205}, p.run([]sheet.Point{
			{X: b.Left - 1, Y: b.Top - 1}, {X: b.Right + 1, Y: b.Top - 1}, {X: b.Right + 1, Y: b.Bottom + 1}, {X: b.Left - 1, Y: b.Bottom + 1}}))
	}
	p.canvas.SetColor(t.Color)
	at := p.at(sheet.Point{X: t.X, Y: t.Y})
	if !t.Upright {
		p.canvas.FillString(face, vg.Point{X: at.X + shift, Y: at.Y}, t.S)
		return
	}
	p.canvas.Push()
	p.canvas.Translate(at)
	p.canvas.Rotate(math.Pi / 2)
	p.canvas.FillString(face, vg.Point{X: shift}, t.S)
	p.canvas.Pop()
}
