package frame

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/finding"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Box draws a box for each group of rows with the same values in the columns
// named last: from the lower to the upper quartile of the present values, a
// line at the median, whiskers to the furthest values within one and a half
// times the box's height, and a ring for each value beyond (Tukey 1977, from
// memory). Rings that would lie on one another are drawn once.
//
// It fails as [Frame.Scatter] does.
func (f *Frame) Box(column string, by ...string) (*chart.Figure, error) {
	d, err := newDrawing("Box", f, column, "", nil)
	if err != nil {
		return nil, err
	}
	g := f.Group(by...)
	if g.frame.err != nil {
		return nil, g.frame.err
	}
	names := f.groupNames(g)
	fig := d.figure(column+byline(by), finding.Medians(d.x, finding.Parts(names, g.groups)), panel(d.x))
	fig.XLabel, fig.Below, fig.Categories = "", nil, names
	if len(by) == 0 {
		fig.Categories = []string{"all rows"}
	}
	fig.Width = broaden(fig.Categories)
	p := &fig.Panels[0]
	for k, rows := range g.groups {
		v := vector.Present(d.x.Shown(), rows)
		if len(v) == 0 {
			fig.Caption = append(fig.Caption, fmt.Sprintf("%s: no value", fig.Categories[k]))
			continue
		}
		drawBox(p, float64(k), v)
	}
	return fig, nil
}

// broaden breaks the names of categories at their commas and returns how many
// points wide a figure must be so that they stand beside each other; 0 is the
// usual width.
func broaden(names []string) float64 {
	const letter, margins, usual = 5.0, 90.0, 620.0
	longest := 0
	for i, n := range names {
		names[i] = strings.ReplaceAll(n, ", ", "\n")
		for line := range strings.SplitSeq(names[i], "\n") {
			longest = max(longest, utf8.RuneCountInString(line))
		}
	}
	if w := margins + letter*float64(len(names)*(longest+1)); w > usual {
		return w
	}
	return 0
}

// drawBox adds one box at x; it sorts v.
func drawBox(p *chart.Panel, x float64, v []float64) {
	const half = 0.3
	lower, median, upper := series.Quantile(v, 0.25), series.Quantile(v, 0.5), series.Quantile(v, 0.75)
	reach := 1.5 * (upper - lower)
	low, high := upper, lower
	out := chart.Points{Style: chart.Look(0)}
	out.Style.Hollow = true
	all := make([]float64, len(v))
	for i := range all {
		all[i] = x
	}
	cells := newCells(all, v)
	for _, y := range v { // in ascending order
		if y >= lower-reach && y <= upper+reach {
			low, high = min(low, y), max(high, y)
		} else if cells.take(x, y) {
			out.X, out.Y = append(out.X, x), append(out.Y, y)
		}
	}
	ends := []float64{x - half, x + half}
	box := chart.Ribbon{X: ends, Lo: []float64{lower, lower}, Hi: []float64{upper, upper}, Style: chart.Look(0)}
	line := chart.Line{X: ends, Y: []float64{median, median}, Style: chart.Look(0)}
	line.Style.Width = 2
	whisker := chart.Points{X: []float64{x}, Y: []float64{median}, Lo: []float64{low}, Hi: []float64{high}, Style: chart.Look(0)}
	p.Ribbons, p.Lines, p.Points = append(p.Ribbons, box), append(p.Lines, line), append(p.Points, whisker, out)
}
