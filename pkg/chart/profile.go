package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// The upper panel reaches as far below the best as the 95 % interval does, but
// at least to 12, which is a chance of six in a million, and at most to 60.
const leastDepth, mostDepth = 12.0, 60.0

// ClockProfile draws how well each offset between two clocks explains the data:
// the log-likelihood relative to the best, the 95 % interval shaded, and other
// offsets that explain the data nearly as well. The upper panel shows what may be
// true, on a scale of its own; the lower one all offsets within span seconds of
// the best.
func ClockProfile(r clock.Result, span float64) *Figure {
	all := Line{Label: "how well an offset explains the data", Style: Style{Color: blue, Width: 1.6}}
	from, to, depth := r.Interval.From, r.Interval.To, leastDepth
	for i, x := range r.Profile.Offset {
		y := r.Profile.LogLikelihood[i]
		if !(math.Abs(x-r.Offset) <= span) {
			continue
		}
		all.X, all.Y = append(all.X, x), append(all.Y, y)
		if y >= -leastDepth {
			from, to = math.Min(from, x), math.Max(to, x)
		}
		if r.Interval.From <= x && x <= r.Interval.To {
			depth = math.Min(mostDepth, math.Max(depth, -y))
		}
	}
	room := math.Max(0.15*(to-from), 0.2)
	near := Panel{YLabel: "log-likelihood, best = 0", Name: "what may be true", Lines: []Line{all},
		Axis:   &Axis{Label: "offset of the second clock (s)", From: from - room, To: to + room},
		Limits: &Limits{From: -1.08 * depth, To: 0.2 * depth}, Weight: 1.1}
	near.Lines[0].Label = ""
	whole := Panel{YLabel: "log-likelihood", Name: "all that was tried here", Lines: []Line{all}, Weight: 0.7}
	for _, p := range []*Panel{&near, &whole} {
		p.Bands = []Band{{Label: "95 % interval", From: r.Interval.From, To: r.Interval.To, Color: vermilionTint}}
		p.Markers = []Marker{{X: r.Offset, Style: Style{Color: vermilion, Width: 1.4}}}
		for _, a := range r.Alternatives {
			if math.Abs(a.Offset-r.Offset) <= span {
				p.Markers = append(p.Markers, Marker{X: a.Offset, Label: "also possible", Style: Style{Color: grey, Dash: []float64{3, 2}}})
			}
		}
	}
	near.Markers[0].Label = "best " + number("%.1f", r.Offset) + " s"
	return &Figure{Title: offsetTitle(r), XLabel: "offset of the second clock (s)", Panels: []Panel{near, whole},
		Caption: []string{"Offset: what is added to the second clock's times. The interval allows as well for devices that write late, which the curve does not know."}}
}

// offsetTitle says how far the clocks are apart, or that it is not told.
func offsetTitle(r clock.Result) string {
	if r.IsAmbiguous() {
		return fmt.Sprintf("%s explain the data about equally well: the clocks' offset is not told", counted(1+len(r.Alternatives), "offset"))
	}
	ahead := "ahead of"
	if r.Offset > 0 {
		ahead = "behind"
	}
	least, most := math.Abs(r.Interval.From), math.Abs(r.Interval.To)
	if r.Interval.From < 0 && r.Interval.To > 0 {
		return fmt.Sprintf("The clocks agree within %.1f s (95 %%)", math.Max(least, most))
	}
	return fmt.Sprintf("The second clock is %.1f s %s the first (95 %%: %s s)", math.Abs(r.Offset), ahead, between("%.1f", least, most))
}
