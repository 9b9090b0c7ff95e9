package scene

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// values writes what stands beside points.
func (l *layout) values(i int, p Panel, plot sheet.Plot) {
	for _, t := range p.valueTexts(plot) {
		l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: i, Movement: sheet.Follows, At: t.At, Words: &t.Text})
	}
}

// valueText is what stands beside a point, which is at At.
type valueText struct {
	sheet.Text
	At float64
}

// valueTexts places what stands beside points, each at the first side of its
// point where it meets nothing; one that finds none is left to be read off.
func (p Panel) valueTexts(plot sheet.Plot) (all []valueText) {
	beside := 7.0 // of wide bars
	for _, l := range p.Lines {
		beside = max(beside, l.Style.Width/2+4)
	}
	var taken []sheet.Box
	for _, t := range p.eventNames(plot) {
		taken = append(taken, t.Box())
	}
	for _, q := range p.Points {
		for k := range q.X {
			if b := q.box(k, plot); finite(b.Left) && finite(b.Top) {
				taken = append(taken, b)
			}
		}
	}
	for _, q := range p.Points {
		for k, s := range q.Values {
			if s == "" || !finite(q.X[k]) || !finite(q.Y[k]) {
				continue
			}
			x, y, b := plot.AtX(q.X[k]), plot.AtY(q.Y[k])+0.35*legendSize, q.box(k, plot)
			best, found := valueText{}, false
			for _, t := range sides(x, y, beside, b, sheet.Width(s, legendSize), plot) {
				t.S, t.Size, t.Color, t.Halo = s, legendSize, opaque(q.Style.color()), true
				if b := t.Box(); !within(b, plot.Box) || slices.ContainsFunc(taken, b.Overlaps) {
					continue
				}
				crosses := p.crosses(t.Box(), plot)
				if !crosses || !found {
					best, found = valueText{t, x}, true
				}
				if !crosses {
					break
				}
			}
			if found {
				taken, all = append(taken, best.Box()), append(all, best)
			}
		}
	}
	return all
}

// sides are the places beside a point, the best first: right, left, above and
// below, and where the edge of the plot is near, above and below but within it,
// at last a row further off.
func sides(x, y, beside float64, b sheet.Box, width float64, plot sheet.Plot) []sheet.Text {
	above, below := b.Top-4, b.Bottom+3+sheet.Ascent(legendSize)
	all := []sheet.Text{{X: x + beside, Y: y}, {X: x - beside, Y: y, Anchor: sheet.End},
		{X: x, Y: above, Anchor: sheet.Middle}, {X: x, Y: below, Anchor: sheet.Middle}}
	if edge := plot.Box.Right - 1; edge-x <= width/2 && edge >= x {
		for _, y := range []float64{above, below, above - legendSize, below + legendSize} {
			all = append(all, sheet.Text{X: edge, Y: y, Anchor: sheet.End})
		}
	}
	return all
}

func (p Panel) hasValues() bool {
	return slices.ContainsFunc(p.Points, func(q Points) bool { return len(q.Values) > 0 })
}

// crosses reports whether a line of few points, or the edge of a ribbon, runs
// through a box.
func (p Panel) crosses(b sheet.Box, plot sheet.Plot) bool {
	for _, l := range p.Lines {
		if runsThrough(l.X, l.Y, b, plot) {
			return true
		}
	}
	for _, r := range p.Ribbons {
		if runsThrough(r.X, r.Lo, b, plot) || runsThrough(r.X, r.Hi, b, plot) {
			return true
		}
	}
	return false
}

func runsThrough(xs, ys []float64, b sheet.Box, plot sheet.Plot) bool {
	const few, pieces = 500, 24
	for k := 1; k < len(xs) && len(xs) <= few; k++ {
		x0, y0, x1, y1 := plot.AtX(xs[k-1]), plot.AtY(ys[k-1]), plot.AtX(xs[k]), plot.AtY(ys[k])
		for j := range pieces + 1 {
			part := float64(j) / pieces
			x, y := x0+part*(x1-x0), y0+part*(y1-y0)
			if x > b.Left && x < b.Right && y > b.Top && y < b.Bottom {
				return true
			}
		}
	}
	return false
}

// box is the room that a point with its error bar takes.
func (q Points) box(k int, plot sheet.Plot) sheet.Box {
	x, y := plot.AtX(q.X[k]), plot.AtY(q.Y[k])
	b := sheet.Box{Left: x - 3.4, Right: x + 3.4, Top: y - 3.4, Bottom: y + 3.4}
	if len(q.Lo) > 0 && finite(q.Lo[k]) && finite(q.Hi[k]) {
		b.Top, b.Bottom = min(b.Top, plot.AtY(q.Hi[k])), max(b.Bottom, plot.AtY(q.Lo[k]))
	}
	return b
}

func within(b, c sheet.Box) bool {
	return b.Left >= c.Left && b.Right <= c.Right && b.Top >= c.Top && b.Bottom <= c.Bottom
}
