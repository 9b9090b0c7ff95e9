package scene

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// curve is a line as it is drawn.
type curve struct {
	line Line
	name string
	runs [][]sheet.Point
}

// curves thins the lines of a panel and breaks them where values are missing.
func (p Panel) curves(plot sheet.Plot, cells int) []curve {
	all := make([]curve, len(p.Lines))
	for i, l := range p.Lines {
		all[i] = curve{line: l, name: p.readingName(l)}
		var run []sheet.Point
		for _, k := range thin(l.Y, cells) {
			if finite(l.Y[k]) && finite(l.X[k]) {
				run = append(run, sheet.Point{X: plot.AtX(l.X[k]), Y: plot.AtY(l.Y[k])})
			} else if len(run) > 0 {
				all[i].runs, run = append(all[i].runs, run), nil
			}
		}
		if len(run) > 0 {
			all[i].runs = append(all[i].runs, run)
		}
	}
	return all
}

// readingName is the name under which values of a line are read off; rows have
// no values, only names.
func (p Panel) readingName(l Line) string {
	if len(p.Rows) > 0 {
		return ""
	}
	if l.Label == "" {
		name, _ := unitOf(p.YLabel)
		return name
	}
	return l.Label
}

// ribbon fills the area between two curves, between two thin lines.
func (l *layout) ribbon(i int, r Ribbon, plot sheet.Plot) {
	var lower, upper [][]sheet.Point
	open := false
	for k := range r.X {
		if !finite(r.Lo[k]) || !finite(r.Hi[k]) {
			open = false
			continue
		}
		if !open {
			lower, upper, open = append(lower, nil), append(upper, nil), true
		}
		n := len(lower) - 1
		x := plot.AtX(r.X[k])
		lower[n] = append(lower[n], sheet.Point{X: x, Y: plot.AtY(r.Lo[k])})
		upper[n] = append(upper[n], sheet.Point{X: x, Y: plot.AtY(r.Hi[k])})
	}
	area := sheet.Shape{Fill: tinted(r.Style.color())}
	for n := range lower {
		outline := append([]sheet.Point{}, lower[n]...)
		for k := len(upper[n]) - 1; k >= 0; k-- {
			outline = append(outline, upper[n][k])
		}
		area.Runs = append(area.Runs, outline)
	}
	l.shape(i, sheet.Stretches, area)
	edge := sheet.Stroke{Color: r.Style.color(), Width: 0.7}
	for _, side := range []struct {
		runs [][]sheet.Point
		name string
	}{{lower, "from"}, {upper, "to"}} {
		s := sheet.Shape{Runs: side.runs, Stroke: edge}
		if r.Label != "" {
			s.Name = r.Label + ", " + side.name
		}
		l.shape(i, sheet.Stretches, s)
	}
}

const dotSize = 6.8

// points draws symbols and error bars.
func (l *layout) points(i int, q Points, plot sheet.Plot) {
	bars := sheet.Shape{Stroke: sheet.Stroke{Color: q.Style.color(), Width: 1.6}}
	dots := sheet.Shape{Stroke: sheet.Stroke{Color: q.Style.color(), Width: dotSize}, Dots: true, Hollow: q.Style.Hollow, Name: q.Label}
	for k := range q.X {
		if !finite(q.Y[k]) || !finite(q.X[k]) {
			continue
		}
		x, y := plot.AtX(q.X[k]), plot.AtY(q.Y[k])
		dots.Runs = append(dots.Runs, []sheet.Point{{X: x, Y: y}})
		if len(q.Lo) > 0 && finite(q.Lo[k]) && finite(q.Hi[k]) {
			lo, hi := plot.AtY(q.Lo[k]), plot.AtY(q.Hi[k])
			bars.Runs = append(bars.Runs, []sheet.Point{{X: x, Y: lo}, {X: x, Y: hi}},
				[]sheet.Point{{X: x - 3, Y: lo}, {X: x + 3, Y: lo}}, []sheet.Point{{X: x - 3, Y: hi}, {X: x + 3, Y: hi}})
		}
	}
	if len(bars.Runs) > 0 {
		l.shape(i, sheet.Stretches, bars)
	}
	if len(dots.Runs) > 0 {
		dots.Runs = sparse(dots.Runs, l.dots)
		l.shape(i, sheet.Stretches, dots)
	}
}

// sparse leaves out dots that lie on others, as finely as the number of dots
// allows.
func sparse(runs [][]sheet.Point, most int) [][]sheet.Point {
	for cell := 0.5; len(runs) > most; cell *= 1.4 {
		taken := map[[2]int]bool{}
		var kept [][]sheet.Point
		for _, r := range runs {
			k := [2]int{int(math.Floor(r[0].X / cell)), int(math.Floor(r[0].Y / cell))}
			if !taken[k] {
				taken[k], kept = true, append(kept, r)
			}
		}
		runs = kept
	}
	return runs
}

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
			for _, t := range []sheet.Text{{X: x + beside, Y: y}, {X: x - beside, Y: y, Anchor: sheet.End},
				{X: x, Y: b.Top - 4, Anchor: sheet.Middle}, {X: x, Y: b.Bottom + 3 + sheet.Ascent(legendSize), Anchor: sheet.Middle}} {
				t.S, t.Size, t.Color, t.Halo = s, legendSize, opaque(q.Style.color()), true
				if b := t.Box(); within(b, plot.Box) && !overlapsAny(b, taken) {
					taken, all = append(taken, b), append(all, valueText{t, x})
					break
				}
			}
		}
	}
	return all
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

func overlapsAny(b sheet.Box, all []sheet.Box) bool {
	for _, c := range all {
		if b.Overlaps(c) {
			return true
		}
	}
	return false
}
