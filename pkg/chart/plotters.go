package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func (s Style) line() draw.LineStyle {
	w := s.Width
	if w == 0 {
		w = 1.2
	}
	c := s.Color
	if c.A == 0 {
		c = black
	}
	l := draw.LineStyle{Color: c, Width: vg.Length(w)}
	for _, d := range s.Dash {
		l.Dashes = append(l.Dashes, vg.Length(d))
	}
	return l
}

// transforms returns the maps from data to the canvas.
func transforms(c draw.Canvas, p *plot.Plot) (x, y func(float64) vg.Length) {
	return func(v float64) vg.Length { return c.X(p.X.Norm(v)) }, func(v float64) vg.Length { return c.Y(p.Y.Norm(v)) }
}

type linePlotter struct{ Line }

// Plot draws the line, broken at NaN, thinned to what the canvas can show.
func (l linePlotter) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := transforms(c, p)
	style := l.Style.line()
	var run []vg.Point
	flush := func() {
		if len(run) > 1 {
			c.StrokeLines(style, c.ClipLinesXY(run)...)
		} else if len(run) == 1 {
			c.DrawGlyph(draw.GlyphStyle{Color: style.Color, Radius: style.Width, Shape: draw.CircleGlyph{}}, run[0])
		}
		run = nil
	}
	for _, i := range thin(l.X, l.Y, 2400) {
		if math.IsNaN(l.Y[i]) || math.IsInf(l.Y[i], 0) {
			flush()
			continue
		}
		run = append(run, vg.Point{X: x(l.X[i]), Y: y(l.Y[i])})
	}
	flush()
}

// thin returns the indices of at most about 2·cells samples that keep the
// extremes and the breaks of the curve: first, lowest, highest and missing of
// every cell.
func thin(x, y []float64, cells int) []int {
	n := len(x)
	if n <= 2*cells {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return all
	}
	var keep []int
	size := (n + cells - 1) / cells
	for a := 0; a < n; a += size {
		b := min(n, a+size)
		lo, hi, missing := -1, -1, -1
		for i := a; i < b; i++ {
			switch {
			case math.IsNaN(y[i]):
				missing = i
			case lo < 0:
				lo, hi = i, i
			case y[i] < y[lo]:
				lo = i
			case y[i] > y[hi]:
				hi = i
			}
		}
		keep = append(keep, ascending(lo, hi, missing)...)
	}
	return keep
}

func ascending(a, b, c int) []int {
	if a > b {
		a, b = b, a
	}
	if b > c {
		b, c = c, b
	}
	if a > b {
		a, b = b, a
	}
	var out []int
	for _, i := range []int{a, b, c} {
		if i >= 0 && (len(out) == 0 || out[len(out)-1] != i) {
			out = append(out, i)
		}
	}
	return out
}

// drawable tells what can be drawn: clipping an infinite polygon never ends.
func drawable(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

type ribbonPlotter struct{ Ribbon }

// Plot fills the ribbon, piece by piece between missing values.
func (r ribbonPlotter) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := transforms(c, p)
	col := r.Style.Color
	col.A = 60
	var lower, upper []vg.Point
	flush := func() {
		if len(lower) > 1 {
			for i := len(upper) - 1; i >= 0; i-- {
				lower = append(lower, upper[i])
			}
			c.FillPolygon(col, c.ClipPolygonXY(lower))
		}
		lower, upper = nil, nil
	}
	for i := range r.X {
		if !drawable(r.Lo[i]) || !drawable(r.Hi[i]) {
			flush()
			continue
		}
		lower = append(lower, vg.Point{X: x(r.X[i]), Y: y(r.Lo[i])})
		upper = append(upper, vg.Point{X: x(r.X[i]), Y: y(r.Hi[i])})
	}
	flush()
}

type pointsPlotter struct{ Points }

// Plot draws symbols and error bars.
func (q pointsPlotter) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := transforms(c, p)
	style := q.Style.line()
	bar := style
	bar.Dashes = nil
	bar.Width = 1.6
	glyph := draw.GlyphStyle{Color: style.Color, Radius: 3.4, Shape: draw.CircleGlyph{}}
	if q.Style.Hollow {
		glyph.Shape = draw.RingGlyph{}
	}
	for i := range q.X {
		if !drawable(q.Y[i]) {
			continue
		}
		at := vg.Point{X: x(q.X[i]), Y: y(q.Y[i])}
		if len(q.Lo) > 0 && drawable(q.Lo[i]) && drawable(q.Hi[i]) {
			lo, hi := y(q.Lo[i]), y(q.Hi[i])
			c.StrokeLine2(bar, at.X, lo, at.X, hi)
			c.StrokeLine2(bar, at.X-3, lo, at.X+3, lo)
			c.StrokeLine2(bar, at.X-3, hi, at.X+3, hi)
		}
		c.DrawGlyph(glyph, at)
	}
}

type bandPlotter struct{ Band }

// Plot shades the band over the height of the data area.
func (b bandPlotter) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := transforms(c, p)
	lo, hi := max(c.Min.X, x(b.From)), min(c.Max.X, x(b.To))
	if lo >= hi {
		return
	}
	c.FillPolygon(b.Color, []vg.Point{{X: lo, Y: c.Min.Y}, {X: hi, Y: c.Min.Y}, {X: hi, Y: c.Max.Y}, {X: lo, Y: c.Max.Y}})
}

type markerPlotter struct {
	Marker
	row int
}

// Plot draws the vertical line and its label at the top, on a white ground,
// on the side with more room; neighbouring markers take different rows.
func (m markerPlotter) Plot(c draw.Canvas, p *plot.Plot) {
	if m.X < p.X.Min || m.X > p.X.Max || math.IsNaN(m.X) {
		return
	}
	x, _ := transforms(c, p)
	at := x(m.X)
	style := m.Style.line()
	c.StrokeLine2(style, at, c.Min.Y, at, c.Max.Y)
	if m.Label == "" {
		return
	}
	t := label(9.5, style.Color)
	w, h := t.Width(m.Label), t.Height(m.Label)
	left := at + 4
	if left+w > c.Max.X {
		left = at - 4 - w
	}
	top := c.Max.Y - 2 - vg.Length(m.row%3)*(h+3)
	c.FillPolygon(color.NRGBA{255, 255, 255, 215}, []vg.Point{
		{X: left - 1, Y: top - h - 1}, {X: left + w + 1, Y: top - h - 1}, {X: left + w + 1, Y: top}, {X: left - 1, Y: top},
	})
	t.YAlign = draw.YTop
	c.FillText(t, vg.Point{X: left, Y: top}, m.Label)
}

// typeface is a sans-serif face that gonum/plot carries along, so that a
// picture is the same on every machine.
var typeface = font.Font{Typeface: "Liberation", Variant: "Sans"}

// label returns a text style of the given size in points.
func label(size float64, c color.Color) draw.TextStyle {
	return text.Style{Color: c, Font: font.From(typeface, vg.Length(size)), Handler: plot.DefaultTextHandler}
}
