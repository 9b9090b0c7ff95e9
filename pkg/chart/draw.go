package chart

import (
	"bytes"
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

const (
	defaultWidth = 620.0
	panelHeight  = 205.0 // points for a panel of weight 1
	legendLine   = 15.0
	titleHeight  = 24.0
	dotsPerInch  = 160 // sharp at notebook width and on dense screens
)

// size returns the figure's width and height in points.
func (f *Figure) size() (w, h float64) {
	w, h = f.Width, f.Height
	if w == 0 {
		w = defaultWidth
	}
	if h == 0 {
		for _, p := range f.Panels {
			h += panelHeight * p.weight()
		}
		h += titleHeight + 30 + legendLine*float64(len(f.legendRows(vg.Length(w)))) + captionLine*float64(len(f.captionRows(vg.Length(w))))
	}
	return w, h
}

func (p Panel) weight() float64 {
	if p.Weight == 0 {
		return 1
	}
	return p.Weight
}

// PNG returns the figure as a PNG image. It fails for a panel that can't be
// drawn; the error names the figure.
func (f *Figure) PNG() ([]byte, error) {
	w, h := f.size()
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(w), vg.Length(h)), vgimg.UseDPI(dotsPerInch))
	if err := f.draw(draw.New(c)); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if _, err := (vgimg.PngCanvas{Canvas: c}).WriteTo(&b); err != nil {
		return nil, fmt.Errorf("chart %q: %w", f.Title, err)
	}
	return b.Bytes(), nil
}

// SVG returns the figure as an SVG document. It fails as [Figure.PNG] does.
func (f *Figure) SVG() ([]byte, error) {
	w, h := f.size()
	c := vgsvg.New(vg.Length(w), vg.Length(h))
	if err := f.draw(draw.New(c)); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return nil, fmt.Errorf("chart %q: %w", f.Title, err)
	}
	return b.Bytes(), nil
}

func (f *Figure) draw(c draw.Canvas) error {
	c.SetColor(color.White)
	c.Fill(c.Rectangle.Path())
	if len(f.Panels) == 0 {
		return fmt.Errorf("chart %q has no panels to draw", f.Title)
	}
	plots, err := f.plots()
	if err != nil {
		return err
	}
	area := f.drawLegend(f.drawTitle(f.drawCaption(c)))
	drawAligned(area, plots, f.Panels)
	return nil
}

// drawAligned stacks the plots so that their data areas share left and right
// edges.
func drawAligned(c draw.Canvas, plots []*plot.Plot, panels []Panel) {
	total := 0.0
	for _, p := range panels {
		total += p.weight()
	}
	// The lowest panel also carries the tick labels and the axis' name.
	const footer = 30.0
	free := float64(c.Size().Y) - footer
	cells := make([]draw.Canvas, len(plots))
	top := c.Max.Y
	for i, p := range panels {
		h := vg.Length(free * p.weight() / total)
		if i == len(panels)-1 {
			h = top - c.Min.Y
		}
		cells[i] = draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
			Min: vg.Point{X: c.Min.X, Y: top - h}, Max: vg.Point{X: c.Max.X, Y: top},
		}}
		top -= h
	}
	var left, right vg.Length
	for i, p := range plots {
		d := p.DataCanvas(cells[i])
		left = max(left, d.Min.X-cells[i].Min.X)
		right = max(right, cells[i].Max.X-d.Max.X)
	}
	for i, p := range plots {
		d := p.DataCanvas(cells[i])
		p.Draw(draw.Crop(cells[i], left-(d.Min.X-cells[i].Min.X), -(right - (cells[i].Max.X - d.Max.X)), 0, 0))
	}
}

func (f *Figure) plots() ([]*plot.Plot, error) {
	lo, hi := f.xRange()
	plots := make([]*plot.Plot, len(f.Panels))
	for i, panel := range f.Panels {
		p, err := panel.plot(lo, hi)
		if err != nil {
			return nil, fmt.Errorf("chart %q, panel %q: %w", f.Title, panel.YLabel, err)
		}
		p.X.Min, p.X.Max = lo, hi
		if len(f.Categories) > 0 {
			p.NominalX(f.Categories...)
			p.Y.Padding = 0
			p.X.Min, p.X.Max = lo, hi
			p.X.Tick.Label.Font.Size = 9
		} else {
			p.X.Tick.Marker = roundTicks{8}
		}
		if i == len(f.Panels)-1 {
			p.X.Label.Text = f.XLabel
		} else {
			p.X.Tick.Label.Color = color.Transparent
			p.X.Tick.Label.Font.Size = 1
		}
		plots[i] = p
	}
	return plots, nil
}

func (f *Figure) xRange() (lo, hi float64) {
	if n := len(f.Categories); n > 0 {
		return -0.5, float64(n) - 0.5
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(x []float64) {
		for _, v := range x {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	for _, p := range f.Panels {
		for _, l := range p.Lines {
			take(l.X)
		}
		for _, r := range p.Ribbons {
			take(r.X)
		}
		for _, q := range p.Points {
			take(q.X)
		}
	}
	if !(hi > lo) {
		return 0, 1
	}
	return lo, hi
}

func (p Panel) yRange() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(y []float64) {
		for _, v := range y {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	for _, l := range p.Lines {
		take(l.Y)
	}
	for _, r := range p.Ribbons {
		take(r.Lo)
		take(r.Hi)
	}
	for _, q := range p.Points {
		take(q.Y)
		take(q.Lo)
		take(q.Hi)
	}
	if p.ZeroLine {
		take([]float64{0})
	}
	if n := len(p.Rows); n > 0 {
		return 0.4, float64(n) + 0.6
	}
	if lo > hi {
		return 0, 1
	}
	room := 0.06 * (hi - lo)
	if room == 0 {
		room = math.Max(1, math.Abs(hi)*0.05)
	}
	if len(p.Markers) > 0 || p.labelledBands() { // room for labels above the curves
		return lo - room, hi + 3*room
	}
	return lo - room, hi + room
}

func (p Panel) labelledBands() bool {
	for _, b := range p.Bands {
		if b.Label != "" {
			return true
		}
	}
	return false
}

// rowTicks places row names from the top down.
func rowTicks(rows []string) plot.ConstantTicks {
	var ticks plot.ConstantTicks
	for i, name := range rows {
		ticks = append(ticks, plot.Tick{Value: float64(len(rows) - i), Label: name})
	}
	return ticks
}

func newPlot() *plot.Plot {
	p := plot.New()
	p.BackgroundColor = color.Transparent
	for _, s := range []*text.Style{&p.X.Label.TextStyle, &p.Y.Label.TextStyle} {
		s.Font = font.From(typeface, 10)
	}
	for _, s := range []*text.Style{&p.X.Tick.Label, &p.Y.Tick.Label} {
		s.Font = font.From(typeface, 9)
	}
	p.X.Padding, p.Y.Padding = 0, 0
	return p
}

func (p Panel) plot(xlo, xhi float64) (*plot.Plot, error) {
	g := newPlot()
	g.Y.Label.Text = p.YLabel
	g.Y.Tick.Marker = roundTicks{6}
	if len(p.Rows) > 0 {
		g.Y.Tick.Marker = rowTicks(p.Rows)
		g.Y.Label.Text = ""
	}
	g.Y.Min, g.Y.Max = p.yRange()
	ylo, yhi := g.Y.Min, g.Y.Max
	for _, b := range p.Bands {
		g.Add(bandPlotter{b})
	}
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = light, light
	grid.Vertical.Width, grid.Horizontal.Width = 0.4, 0.4
	g.Add(grid)
	if p.ZeroLine && ylo < 0 && yhi > 0 {
		g.Add(plotter.NewFunction(func(float64) float64 { return 0 }))
	}
	for _, r := range p.Ribbons {
		g.Add(ribbonPlotter{r})
	}
	for _, l := range p.Lines {
		g.Add(linePlotter{l})
	}
	for _, q := range p.Points {
		g.Add(pointsPlotter{q})
	}
	for i, m := range p.Markers {
		g.Add(markerPlotter{m, i})
	}
	if p.Right != nil {
		g.Add(rightAxis{*p.Right, g.Y.Tick.Label, g.Y.Label.TextStyle})
	}
	g.X.Min, g.X.Max, g.Y.Min, g.Y.Max = xlo, xhi, ylo, yhi
	return g, nil
}
