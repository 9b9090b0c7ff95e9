package frame

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/finding"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// mostBins bounds the bins of a histogram: more can't be told apart.
const mostBins = 500

// Histogram draws how many rows fall into each bin of a column, bins from a
// multiple of the width (included) to the next (not included). The width is
// written with its unit, that of a temperature as a difference: "1 K", "2 °F".
// Rows with different values of the columns named last are counted apart, by
// the first of them.
//
// It fails as [Frame.Scatter] does, and where the width has not its unit, is
// not positive, or makes more than 500 bins.
func (f *Frame) Histogram(column, width string, by ...string) (*chart.Figure, error) {
	d, err := newDrawing("Histogram", f, column, "", by)
	if err != nil {
		return nil, err
	}
	p, err := d.histogram(width)
	if err != nil {
		return nil, f.fail("Histogram", err).err
	}
	return d.figure("How often which "+column, finding.Medians(d.x, d.told()), p), nil
}

func (d drawing) histogram(width string) (chart.Panel, error) {
	p := chart.Panel{YLabel: "rows", Weight: 1.3, ZeroLine: true}
	step, err := d.binWidth(width)
	if err != nil {
		return p, err
	}
	shown := d.x.Shown()
	for _, part := range merged(d.parts()) {
		edges, n := Bins(vector.Present(shown, part.rows), step)
		if len(n) == 0 {
			continue
		}
		r := chart.Ribbon{Style: part.style}
		for k, v := range n {
			r.X = append(r.X, edges[k], edges[k+1])
			r.Hi = append(r.Hi, v, v)
		}
		r.Lo = make([]float64, len(r.X))
		// The outline goes down to zero at both ends.
		last := len(edges) - 1
		outline := chart.Line{Label: part.name, Style: r.Style,
			X: slices.Concat([]float64{edges[0]}, r.X, []float64{edges[last]}), Y: slices.Concat([]float64{0}, r.Hi, []float64{0})}
		p.Ribbons, p.Lines = append(p.Ribbons, r), append(p.Lines, outline)
	}
	return p, nil
}

// binWidth reads the width of bins, in the shown unit.
func (d drawing) binWidth(text string) (float64, error) {
	u := d.x.Unit
	kind := vector.DifferenceUnit(u).Kind()
	si, _, err := quantity.Parse(kind, text)
	if err != nil {
		return 0, fmt.Errorf("the width of the bins: %w", err)
	}
	factor, _ := quantity.Scale(u.Kind().SI(), u)
	step := si * factor
	lo, hi := vector.Span(d.x.Shown())
	if !(step > 0) || (hi-lo)/step > mostBins {
		return 0, fmt.Errorf("bins of %s are not possible from %.4g to %.4g %s", text, lo, hi, u.Symbol())
	}
	return step, nil
}

// Bins counts values in bins of a width: value k of the counts is of those from
// edge k (included) to edge k+1 (not included). Edges are multiples of the
// width, one more than counts. A value that rounding left less than a thousand-
// millionth of a width below an edge counts as on it: readings of a tenth of a
// kelvin often are. NaN and infinite values are not counted, and
// both are empty without any other, or where the width is not positive.
func Bins(values []float64, width float64) (edges, counts []float64) {
	lo, hi := vector.Span(values)
	if math.IsNaN(lo) || !(width > 0) {
		return nil, nil
	}
	first := vector.Bin(lo, width)
	counts = make([]float64, int(vector.Bin(hi, width)-first)+1)
	for k := range len(counts) + 1 {
		edges = append(edges, (first+float64(k))*width)
	}
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			counts[int(vector.Bin(v, width)-first)]++
		}
	}
	return edges, counts
}
