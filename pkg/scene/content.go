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
