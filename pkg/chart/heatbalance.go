package chart

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// share is a named part of the balance.
type share struct {
	name string
	estimate.Estimate
}

func known(e estimate.Estimate) bool { return e.Known() && e.Basis != estimate.NoBasis }

// HeatBalance draws where the intake's rise in settled driving comes from: its
// parts one on top of the other, up to their sum, each with its 95 % interval.
// What is no part of that sum stands in a panel of its own. Parts that the
// channels do not give are left out.
func HeatBalance(a heat.Analysis) *Figure {
	reads := readingOf(a.ReadIn(), quantity.KindTemperatureDifference)
	f := &Figure{Title: balanceTitle(a, reads)}
	sum := balance(reads, []share{{"before opening", a.RiseBefore}, {"from the radiator", a.FromRadiator}, {"speed, warming up", a.Rest}}, share{"settled driving", a.RiseAfter})
	others := Panel{Axis: &Axis{}}
	q := Points{Label: "estimate with 95 % interval", Style: Style{Color: black}}
	for _, part := range []share{{"soak at stops", a.HeatSoak}, {"of settled driving: gathered on the way", a.PickUp}} {
		if known(part.Estimate) {
			add(&q, reads, float64(len(others.Axis.Categories)), 0, part.Estimate)
			others.Axis.Categories = append(others.Axis.Categories, part.name)
		}
	}
	heading := reads.panel("apart from these", 0.75)
	others.YLabel, others.Right, others.Weight, others.ZeroLine, others.Points = heading.YLabel, heading.Right, heading.Weight, true, []Points{q}
	f.Panels = []Panel{sum, others}
	if len(sum.Axis.Categories) > 0 {
		f.Caption = []string{"1 drive: intervals are from scatter within it, and say nothing of other drives. Each part begins where the one before it ends."}
	}
	return f
}

// balance stacks parts up to their sum: bars with the running sum between them.
func balance(reads reading, parts []share, sum share) Panel {
	p := reads.panel("above ambient", 1.3)
	p.ZeroLine, p.Axis = true, &Axis{}
	bars := Line{Label: "a part", Style: Style{Color: orange, Width: 22}}
	total := Line{Label: "the sum of the parts", Style: Style{Color: blue, Width: 22}}
	between := Line{Style: Style{Color: grey, Width: 0.8}}
	q := Points{Label: "estimate with 95 % interval", Style: Style{Color: black}}
	below, whole := 0.0, true
	bar := func(l *Line, from, to float64) {
		x := float64(len(p.Axis.Categories))
		l.X, l.Y = append(l.X, x, x, x), append(l.Y, reads.of(from), reads.of(to), missing)
	}
	for _, part := range parts {
		if whole = whole && known(part.Estimate); !whole {
			continue
		}
		bar(&bars, below, below+part.Value)
		add(&q, reads, float64(len(p.Axis.Categories)), below, part.Estimate)
		below += part.Value
		x := float64(len(p.Axis.Categories))
		p.Axis.Categories = append(p.Axis.Categories, part.name)
		between.X, between.Y = append(between.X, x, x+1, x+1), append(between.Y, reads.of(below), reads.of(below), missing)
	}
	if known(sum.Estimate) {
		bar(&total, 0, sum.Value)
		add(&q, reads, float64(len(p.Axis.Categories)), 0, sum.Estimate)
		p.Axis.Categories = append(p.Axis.Categories, sum.name)
	} else if n := len(between.X); n > 0 {
		between.X, between.Y = between.X[:n-3], between.Y[:n-3]
	}
	p.Lines, p.Points = []Line{bars, total, between}, []Points{q}
	return p
}

// add puts an estimate that begins at a base, in SI units, to points, with its
// value beside it.
func add(q *Points, reads reading, x, base float64, e estimate.Estimate) {
	q.X, q.Y = append(q.X, x), append(q.Y, reads.of(base+e.Value))
	q.Lo, q.Hi = append(q.Lo, bounded(reads.of(base+e.Interval.Low))), append(q.Hi, bounded(reads.of(base+e.Interval.High)))
	q.Values = append(q.Values, reads.value(e))
}

// balanceTitle says what the radiator adds.
func balanceTitle(a heat.Analysis, reads reading) string {
	e := a.FromRadiator
	switch {
	case !known(e):
		return a.Drive + ": what the radiator adds to the intake is not told"
	case e.Interval.Low <= 0 && e.Interval.High >= 0:
		return fmt.Sprintf("%s: the radiator adds nothing that shows (%s)", a.Drive, reads.span("%.1f", e.Interval.Low, e.Interval.High))
	case !known(a.RiseAfter):
		return fmt.Sprintf("%s: the radiator adds %s to the intake", a.Drive, reads.say("%.1f", e.Value))
	}
	return fmt.Sprintf("%s: %s of the %s in settled driving come from the radiator", a.Drive, reads.say("%.1f", e.Value), reads.say("%.1f", a.RiseAfter.Value))
}
