package scene

import (
	"math"
	"strconv"
	"strings"
)

// extent grows by the finite values it is given.
type extent struct{ lo, hi float64 }

func nothing() extent { return extent{math.Inf(1), math.Inf(-1)} }

func (e *extent) take(values ...float64) {
	lo, hi := e.lo, e.hi
	for _, v := range values {
		if v < lo && v >= -math.MaxFloat64 {
			lo = v
		}
		if v > hi && v <= math.MaxFloat64 {
			hi = v
		}
	}
	e.lo, e.hi = lo, hi
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// nearZero is the part of an axis that may be empty before the data, so that an
// axis of a device that began a second late begins at 0 and says so.
const nearZero = 0.02

// xRange is what the data of all panels with one horizontal axis span, from 0
// where they begin beside it; room about a single place.
func (f *Figure) xRange(own *Axis) (lo, hi float64) {
	e := nothing()
	for _, p := range f.Panels {
		if p.Axis != own {
			continue
		}
		for _, l := range p.Lines {
			e.take(l.X...)
		}
		for _, r := range p.Ribbons {
			e.take(r.X...)
		}
		for _, q := range p.Points {
			e.take(q.X...)
		}
	}
	switch {
	case e.lo > 0 && e.lo < nearZero*e.hi:
		return 0, e.hi
	case e.hi > e.lo:
		return e.lo, e.hi
	case e.hi == e.lo:
		return e.lo - 0.5, e.lo + 0.5
	}
	return 0, 1
}

// yRange is what the vertical axis of a panel spans, with room for labels.
func (p Panel) yRange() (lo, hi float64) {
	if p.Limits != nil {
		return p.Limits.From, p.Limits.To
	}
	if n := len(p.Rows); n > 0 {
		return 0.4, float64(n) + 0.6
	}
	e := p.drawn()
	if e.lo > e.hi {
		return 0, 1
	}
	room := 0.06 * (e.hi - e.lo)
	if room == 0 {
		room = math.Max(1, math.Abs(e.hi)*0.05)
	}
	switch {
	case len(p.Markers) > 0: // their labels stand above the curves
		return e.lo - room, e.hi + 3*room
	case p.hasValues():
		return e.lo - room, e.hi + 2*room
	}
	return e.lo - room, e.hi + room
}

// drawn is what the values of a panel span.
func (p Panel) drawn() extent {
	e := nothing()
	for _, l := range p.Lines {
		e.take(l.Y...)
	}
	for _, r := range p.Ribbons {
		e.take(r.Lo...)
		e.take(r.Hi...)
	}
	for _, q := range p.Points {
		e.take(q.Y...)
		e.take(q.Lo...)
		e.take(q.Hi...)
	}
	if p.ZeroLine {
		e.take(0)
	}
	return e
}

// tick is a number on an axis.
type tick struct {
	value float64
	label string
}

// roundTicks places ticks at 1, 2 or 5 times a power of ten, about as many as
// wanted.
func roundTicks(lo, hi float64, about int) []tick {
	step := roundStep(hi-lo, about)
	var ticks []tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step; k++ {
		v := k * step
		if math.Abs(v) < step/1e6 {
			v = 0
		}
		ticks = append(ticks, tick{v, tickLabel(v, step)})
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
	return strings.Replace(strconv.FormatFloat(v, 'f', decimals, 64), "-", "−", 1)
}

// unitOf is the unit that an axis' label ends with in parentheses, and what
// stands before it.
func unitOf(label string) (name, unit string) {
	if i := strings.LastIndex(label, " ("); i >= 0 && strings.HasSuffix(label, ")") {
		return label[:i], label[i+2 : len(label)-1]
	}
	return label, ""
}
