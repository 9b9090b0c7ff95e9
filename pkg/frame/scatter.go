package frame

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/finding"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Scatter draws a point for each row, y over x, in the units in which the
// columns are shown; rows with different values of the columns named last look
// different by the first of them. Points that would lie on one another within
// a three-hundredth of the picture are drawn once.
//
// It fails where the frame holds an error or no rows, a column is none of
// numbers, or more than seven looks are needed.
func (f *Frame) Scatter(x, y string, by ...string) (*chart.Figure, error) {
	d, err := newDrawing("Scatter", f, x, y, by)
	if err != nil {
		return nil, err
	}
	return d.figure(y+" against "+x, finding.Medians(d.y, d.told()), d.scatter()), nil
}

func (d drawing) scatter() chart.Panel {
	p := panel(d.y)
	x, y := d.x.Shown(), d.y.Shown()
	cells := newCells(x, y)
	for _, part := range merged(d.parts()) {
		q := chart.Points{Label: part.name, Style: part.style}
		q.Style.Dash = nil
		q.Style.Color.A = 220 // denser where points lie close; one alone still stands out from the page
		clear(cells.taken)
		for _, i := range part.rows {
			if cells.take(x[i], y[i]) {
				q.X, q.Y = append(q.X, x[i]), append(q.Y, y[i])
			}
		}
		p.Points = append(p.Points, q)
	}
	return p
}

// cells divide a picture so finely that two points in one cell can't be told
// apart.
type cells struct {
	x0, y0, dx, dy float64
	taken          map[[2]int32]bool
}

func newCells(x, y []float64) cells {
	const across = 300
	xlo, xhi := vector.Span(x)
	ylo, yhi := vector.Span(y)
	c := cells{xlo, ylo, (xhi - xlo) / across, (yhi - ylo) / across, map[[2]int32]bool{}}
	if !(c.dx > 0) {
		c.dx = 1
	}
	if !(c.dy > 0) {
		c.dy = 1
	}
	return c
}

// take reports whether a point is the first of its cell; a missing one is not.
func (c cells) take(x, y float64) bool {
	if math.IsNaN(x) || math.IsNaN(y) || math.IsInf(x, 0) || math.IsInf(y, 0) {
		return false
	}
	k := [2]int32{int32((x - c.x0) / c.dx), int32((y - c.y0) / c.dy)}
	if c.taken[k] {
		return false
	}
	c.taken[k] = true
	return true
}

// Line draws y over x, a line for each group of rows with the same values in
// the columns named last; lines differ in look by the first of them. A line
// breaks where y is missing.
//
// It fails as [Frame.Scatter] does, and where x does not ascend within a group:
// then a drive, or another column that tells the lines apart, is not named.
func (f *Frame) Line(x, y string, by ...string) (*chart.Figure, error) {
	d, err := newDrawing("Line", f, x, y, by)
	if err != nil {
		return nil, err
	}
	p, err := d.lines()
	if err != nil {
		return nil, f.fail("Line", err).err
	}
	return d.figure(y+finding.Along(x), finding.Ranges(d.y, d.told()), p), nil
}

func (d drawing) lines() (chart.Panel, error) {
	p := panel(d.y)
	x, y := d.x.Shown(), d.y.Shown()
	for _, part := range d.parts() {
		l := chart.Line{Label: part.name, Style: part.style}
		for _, i := range part.rows {
			if math.IsNaN(x[i]) {
				continue
			}
			if n := len(l.X); n > 0 && x[i] < l.X[n-1] {
				return p, fmt.Errorf("%s does not ascend within one line (row %d); name the column that tells the lines apart, such as the drive, or sort first", d.x.Name, i+1)
			}
			l.X, l.Y = append(l.X, x[i]), append(l.Y, y[i])
		}
		p.Lines = append(p.Lines, l)
	}
	return p, nil
}
