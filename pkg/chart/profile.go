package chart

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// ClockProfile draws how well each offset between two clocks explains the
// data, within span seconds of the best: the log-likelihood relative to the
// best, the 95 % interval shaded, and other offsets that explain the data
// nearly as well.
func ClockProfile(r clock.Result, span float64) *Figure {
	p := Panel{YLabel: "log-likelihood, best = 0"}
	line := Line{Label: "how well an offset explains the data", Style: Style{Color: blue, Width: 1.6}}
	for i, x := range r.Profile.Offset {
		if y := r.Profile.LogLikelihood[i]; math.Abs(x-r.Offset) <= span {
			line.X, line.Y = append(line.X, x), append(line.Y, y)
		}
	}
	p.Lines = []Line{line}
	p.Bands = []Band{{Label: "95 % interval", From: r.Interval.From, To: r.Interval.To, Color: vermilionTint}}
	p.Markers = []Marker{{X: r.Offset, Label: "best", Style: Style{Color: vermilion, Width: 1.4}}}
	for _, a := range r.Alternatives {
		if math.Abs(a.Offset-r.Offset) > span {
			continue
		}
		p.Markers = append(p.Markers, Marker{X: a.Offset, Label: "also possible", Style: Style{Color: grey, Dash: []float64{3, 2}}})
	}
	return &Figure{Title: "Which clock offset explains the data?", XLabel: "offset of the second clock (s)", Panels: []Panel{p}}
}
