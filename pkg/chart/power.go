package chart

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

var (
	kilowatts, metricHorses   = quantity.KindPower.Unit("kW"), quantity.KindPower.Unit("PS")
	newtonMetres, poundsTimes = quantity.KindTorque.Unit("N·m"), quantity.KindTorque.Unit("lbf·ft")
)

// PowerCurve draws full-throttle power and torque over engine speed, before a
// change of intake air and after it as far as the standards agree, the power at
// its peak in numbers.
func PowerCurve(b engine.Band) *Figure {
	rpm := make([]float64, len(b.Base.Speed))
	for i, n := range b.Base.Speed {
		rpm[i] = n.RevolutionsPerMinute()
	}
	power := func(c engine.Curve) []float64 {
		y := make([]float64, len(c.Power))
		for i, v := range c.Power {
			y[i] = v.Kilowatts()
		}
		return y
	}
	torque := func(c engine.Curve) []float64 {
		y := make([]float64, len(c.Torque))
		for i, v := range c.Torque {
			y[i] = v.NewtonMetres()
		}
		return y
	}
	panel := func(label string, other *RightScale, weight float64, of func(engine.Curve) []float64) Panel {
		return Panel{YLabel: label, Right: other, Weight: weight, ZeroLine: true, // from zero: a gain of a twentieth looks like one
			Lines:   []Line{{Label: "before the change", X: rpm, Y: of(b.Base), Style: Style{Color: blue, Width: 1.6}}},
			Ribbons: []Ribbon{{Label: "after it, over the standards", X: rpm, Lo: of(b.Low), Hi: of(b.High), Style: Style{Color: vermilion}}}}
	}
	horses, _ := quantity.Scale(kilowatts, metricHorses)
	feet, _ := quantity.Scale(newtonMetres, poundsTimes)
	top := panel("power (kW)", &RightScale{Label: "hp (metric)", Factor: horses}, 1.3, power)
	peak, at := b.Base.Peak()
	top.Points = []Points{{X: []float64{at.RevolutionsPerMinute()}, Y: []float64{peak.Kilowatts()},
		Values: []string{fmt.Sprintf("%.1f kW, %.0f hp", peak.Kilowatts(), metricHorses.FromSI(float64(peak)))}, Style: Style{Color: blue}}}
	twist := panel("torque (N m)", &RightScale{Label: "lb ft", Factor: feet}, 1, torque)
	low, high := b.Effect.Range()
	after := []float64{peak.Kilowatts() * (1 + low), peak.Kilowatts() * (1 + high)}
	top.Points = append(top.Points, Points{X: []float64{at.RevolutionsPerMinute()}, Y: []float64{(after[0] + after[1]) / 2}, Values: []string{between("%.1f", after[0], after[1]) + " kW"},
		Style: Style{Color: vermilion, Hollow: true}})
	title := fmt.Sprintf("Full throttle: the peak of %.1f kW becomes %s kW (%s %%)", peak.Kilowatts(),
		between("%.1f", after[0], after[1]), between("%+.1f", 100*low, 100*high))
	return &Figure{Title: title, XLabel: "engine speed (rpm)", Panels: []Panel{top, twist}}
}

// Effects draws changes of full-throttle power over what was varied: the span
// of the standards as a ribbon, and the change of the air's density, which is
// not power, as a line. x and effects have the same length. What the title says
// is followed by what the standards make of the last.
func Effects(title, xLabel string, x []float64, effects []engine.Effect) *Figure {
	density := Line{Label: "air density: not power", X: x, Style: Style{Color: grey, Dash: []float64{6, 2}, Width: 1.4}}
	span := Ribbon{Label: "power, over the standards", X: x, Style: Style{Color: blue}}
	for _, e := range effects {
		lo, hi := e.Range()
		density.Y = append(density.Y, 100*e.DensityChange)
		span.Lo, span.Hi = append(span.Lo, 100*lo), append(span.Hi, 100*hi)
	}
	if n := len(x); n > 0 {
		title += fmt.Sprintf(": %s %% of power at %s", between("%+.1f", span.Lo[n-1], span.Hi[n-1]), withUnit(number("%.6g", x[n-1]), xLabel))
	}
	p := Panel{YLabel: "change (%)", Lines: []Line{density}, Ribbons: []Ribbon{span}, ZeroLine: true, Weight: 1.2}
	return &Figure{Title: title, XLabel: xLabel, Panels: []Panel{p}}
}
