package chart

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// legendEntry is one line, symbol or colour with its name.
type legendEntry struct {
	label string
	style Style
	fill  *color.NRGBA // a band or ribbon
	point bool
}

const (
	legendSize   = 9.5
	legendSample = vg.Length(20)
	legendSpace  = vg.Length(14)
)

// legendEntries collects every distinct label once, in the order of drawing.
func (f *Figure) legendEntries() []legendEntry {
	var entries []legendEntry
	seen := map[string]bool{"": true}
	add := func(e legendEntry) {
		if !seen[e.label] {
			seen[e.label] = true
			entries = append(entries, e)
		}
	}
	for _, p := range f.Panels {
		for _, l := range p.Lines {
			if len(p.Rows) > 0 {
				continue // named on the axis
			}
			add(legendEntry{label: l.Label, style: l.Style})
		}
		for _, q := range p.Points {
			add(legendEntry{label: q.Label, style: q.Style, point: true})
		}
		for _, r := range p.Ribbons {
			c := r.Style.Color
			c.A = 60
			add(legendEntry{label: r.Label, fill: &c})
		}
		for _, b := range p.Bands {
			c := b.Color
			add(legendEntry{label: b.Label, fill: &c})
		}
	}
	return entries
}

// legendRows breaks the entries into rows that fit the width.
func (f *Figure) legendRows(width vg.Length) [][]legendEntry {
	t := label(legendSize, color.Black)
	var rows [][]legendEntry
	used := width
	for _, e := range f.legendEntries() {
		w := legendSample + 4 + t.Width(e.label) + legendSpace
		if used+w > width-20 {
			rows = append(rows, nil)
			used = 0
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], e)
		used += w
	}
	return rows
}

// drawTitle writes the title at the top left and returns what is left.
func (f *Figure) drawTitle(c draw.Canvas) draw.Canvas {
	if f.Title == "" {
		return draw.Crop(c, 6, -6, 4, -8)
	}
	t := label(12.5, color.Black)
	t.YAlign = draw.YTop
	c.FillText(t, vg.Point{X: c.Min.X + 10, Y: c.Max.Y - 5}, f.Title)
	return draw.Crop(c, 6, -6, 4, -titleHeight)
}

// drawLegend writes the legend in rows above the panels, where it can hide
// nothing, and returns what is left.
func (f *Figure) drawLegend(c draw.Canvas) draw.Canvas {
	t := label(legendSize, color.Black)
	t.YAlign = draw.YCenter
	rows := f.legendRows(c.Size().X)
	for i, row := range rows {
		y := c.Max.Y - vg.Length((float64(i)+0.5)*legendLine)
		x := c.Min.X + 6
		for _, e := range row {
			e.drawSample(c, x, y)
			c.FillText(t, vg.Point{X: x + legendSample + 4, Y: y}, e.label)
			x += legendSample + 4 + t.Width(e.label) + legendSpace
		}
	}
	return draw.Crop(c, 0, 0, 0, -vg.Length(legendLine*float64(len(rows)))-4)
}

func (e legendEntry) drawSample(c draw.Canvas, x, y vg.Length) {
	switch {
	case e.fill != nil:
		c.FillPolygon(*e.fill, []vg.Point{{X: x, Y: y - 4}, {X: x + legendSample, Y: y - 4}, {X: x + legendSample, Y: y + 4}, {X: x, Y: y + 4}})
	case e.point:
		g := draw.GlyphStyle{Color: e.style.line().Color, Radius: 3.4, Shape: draw.CircleGlyph{}}
		if e.style.Hollow {
			g.Shape = draw.RingGlyph{}
		}
		c.DrawGlyph(g, vg.Point{X: x + legendSample/2, Y: y})
	default:
		c.StrokeLine2(e.style.line(), x, y, x+legendSample, y)
	}
}
