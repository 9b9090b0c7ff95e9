package chart

import "github.com/bonnetbook/bonnetbook/pkg/engine"

// PowerCurve draws full-throttle torque and power over engine speed, with the
// span that a change of intake air makes of them.
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
	panel := func(label string, weight float64, of func(engine.Curve) []float64) Panel {
		return Panel{YLabel: label, Weight: weight,
			Lines:   []Line{{Label: "before the change", X: rpm, Y: of(b.Base), Style: Style{Color: blue, Width: 1.6}}},
			Ribbons: []Ribbon{{Label: "after it, over the standards", X: rpm, Lo: of(b.Low), Hi: of(b.High), Style: Style{Color: vermilion}}}}
	}
	top := panel("power (kW)", 1.2, power)
	top.Right = &RightScale{Label: "hp (metric)", Factor: 1 / 0.73549875}
	return &Figure{Title: "Full throttle", XLabel: "engine speed (rpm)", Panels: []Panel{top, panel("torque (N m)", 0.9, torque)}}
}

// Effects draws changes of full-throttle power over what was varied: the span
// of the standards as a ribbon, and the change of the air's density, which is
// not power, as a line. x and effects have the same length.
func Effects(title, xLabel string, x []float64, effects []engine.Effect) *Figure {
	density := Line{Label: "air density: not power", X: x, Style: Style{Color: grey, Dash: []float64{6, 2}, Width: 1.4}}
	span := Ribbon{Label: "power, over the standards", X: x, Style: Style{Color: blue}}
	for _, e := range effects {
		lo, hi := e.Range()
		density.Y = append(density.Y, 100*e.DensityChange)
		span.Lo, span.Hi = append(span.Lo, 100*lo), append(span.Hi, 100*hi)
	}
	p := Panel{YLabel: "change (%)", Lines: []Line{density}, Ribbons: []Ribbon{span}, ZeroLine: true, Weight: 1.2}
	return &Figure{Title: title, XLabel: xLabel, Panels: []Panel{p}}
}
