package chart

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// roundTicks places labelled ticks at 1, 2 or 5 times a power of ten, about
// as many as wanted.
type roundTicks struct{ about int }

func (r roundTicks) Ticks(lo, hi float64) []plot.Tick {
	step := roundStep(hi-lo, r.about)
	var ticks []plot.Tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step; k++ {
		v := k * step
		if math.Abs(v) < step/1e6 {
			v = 0
		}
		ticks = append(ticks, plot.Tick{Value: v, Label: tickLabel(v, step)})
	}
	return ticks
}

func roundStep(span float64, about int) float64 {
	if !(span > 0) {
		return 1
	}
	raw := span / float64(about)
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*p >= raw*0.999 {
			return m * p
		}
	}
	return 10 * p
}

func tickLabel(v, step float64) string {
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// rightAxis draws a second scale at the right edge of the data area and asks
// for the room that its labels take.
type rightAxis struct {
	scale RightScale
	style draw.TextStyle
	title draw.TextStyle
}

const tickLength = vg.Length(4)

func (a rightAxis) ticks(plt *plot.Plot) []plot.Tick {
	lo := a.scale.Factor*plt.Y.Min + a.scale.Offset
	hi := a.scale.Factor*plt.Y.Max + a.scale.Offset
	return roundTicks{6}.Ticks(math.Min(lo, hi), math.Max(lo, hi))
}

func (a rightAxis) labelWidth(plt *plot.Plot) vg.Length {
	w := vg.Length(0)
	for _, t := range a.ticks(plt) {
		w = max(w, a.style.Width(t.Label))
	}
	return w
}

// Plot draws the axis; c is the data area.
func (a rightAxis) Plot(c draw.Canvas, plt *plot.Plot) {
	line := plt.Y.LineStyle
	c.StrokeLine2(line, c.Max.X, c.Min.Y, c.Max.X, c.Max.Y)
	label := a.style
	label.XAlign, label.YAlign = draw.XLeft, draw.YCenter
	for _, t := range a.ticks(plt) {
		y := c.Y(plt.Y.Norm((t.Value - a.scale.Offset) / a.scale.Factor))
		c.StrokeLine2(line, c.Max.X, y, c.Max.X+tickLength, y)
		c.FillText(label, vg.Point{X: c.Max.X + tickLength + 2, Y: y}, t.Label)
	}
	title := a.title
	title.Rotation = math.Pi / 2
	title.XAlign, title.YAlign = draw.XCenter, draw.YTop
	x := c.Max.X + tickLength + 5 + a.labelWidth(plt)
	c.FillText(title, vg.Point{X: x, Y: (c.Min.Y + c.Max.Y) / 2}, a.scale.Label)
}

// GlyphBoxes asks for room at the right edge.
func (a rightAxis) GlyphBoxes(plt *plot.Plot) []plot.GlyphBox {
	room := tickLength + 8 + a.labelWidth(plt) + a.title.Height(a.scale.Label)*1.3
	return []plot.GlyphBox{{X: 1, Y: 0.5, Rectangle: vg.Rectangle{Max: vg.Point{X: room}}}}
}
