package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/duct"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Duct draws what a duct does at full throttle over engine speed: power, kelvin
// gained and pressure lost, each with its bounds, on axes that hold zero. Road
// speed acts by ram pressure alone: where the power without it is the same at
// all road speeds it is one line, and what ram pressure may add at most is a line
// for each. Units are those of the first point ([duct.Installation.Units]).
func Duct(points []duct.Point) *Figure {
	groups := byRoadSpeed(points)
	f := &Figure{Title: "There is no point to draw a duct's effect for", XLabel: "engine speed (rpm)"}
	if len(groups) == 0 {
		return f
	}
	mine := points[0].Units
	speed := readingOf(mine, quantity.KindSpeed)
	power := Panel{YLabel: "power (%)", ZeroLine: true, Weight: 1.3}
	percent := func(v float64) float64 { return 100 * v }
	still := bounds(groups[0], percent, func(q duct.Point) estimate.Estimate { return q.Power })
	same := len(groups) > 1
	for _, g := range groups[1:] {
		b := bounds(g, percent, func(q duct.Point) estimate.Estimate { return q.Power })
		same = same && alike(b.middle, still.middle) && alike(b.low, still.low)
	}
	for i, g := range groups {
		b, name := bounds(g, percent, func(q duct.Point) estimate.Estimate { return q.Power }), "at "+speed.say("%.0f", float64(g[0].RoadSpeed))
		switch {
		case !same:
			draw(&power, name, b, Look(i))
		case i == 0:
			draw(&power, "without ram pressure", b, Look(0))
			power.Ribbons[0].Label = "bounds " + name
		default:
			power.Lines = append(power.Lines, Line{Label: "at most " + name, X: b.x, Y: b.high, Style: Look(i)})
		}
	}
	kelvins, lost := readingOf(mine, quantity.KindTemperatureDifference), readingOf(mine, quantity.KindPressure)
	if mine.Pressure == (quantity.Unit{}) {
		lost.unit = quantity.KindPressure.Unit("kPa")
	}
	cooler, loss := kelvins.panel("intake cooler by", 0.8), lost.panel("pressure lost", 0.8)
	cooler.ZeroLine, loss.ZeroLine = true, true
	draw(&cooler, "", bounds(groups[0], kelvins.of, func(q duct.Point) estimate.Estimate { return q.Gained }), Look(0))
	draw(&loss, "", bounds(groups[0], lost.of, func(q duct.Point) estimate.Estimate { return q.Lost }), Look(0))
	f.Title = ductTitle(points, kelvins)
	f.Caption = []string{"Areas are bounds, not intervals: what the parts, the pulsation, the standards and ram pressure may be. Temperatures and pressures without ram pressure."}
	f.Panels = []Panel{power, cooler, loss}
	return f
}

// ductTitle says what the duct does over all its points.
func ductTitle(points []duct.Point, kelvins reading) string {
	least, most := math.Inf(1), math.Inf(-1)
	low, high := math.Inf(1), math.Inf(-1)
	coolest, least2 := math.Inf(-1), math.Inf(1)
	for _, p := range points {
		least, most = math.Min(least, p.Power.Value), math.Max(most, p.Power.Value)
		low, high = math.Min(low, p.Power.Interval.Low), math.Max(high, p.Power.Interval.High)
		coolest, least2 = math.Max(coolest, p.Gained.Value), math.Min(least2, p.Gained.Value)
	}
	word := "gains power"
	switch {
	case high < 0:
		word = "costs power"
	case low <= 0:
		word = "may gain or cost power"
	}
	temperature := "cooler"
	if coolest <= 0 {
		coolest, least2, temperature = -least2, -coolest, "warmer"
	}
	return fmt.Sprintf("The duct %s at full throttle: %s %% (bounds %s %%), the intake %s %s", word,
		between("%+.1f", 100*least, 100*most), between("%+.1f", 100*low, 100*high), kelvins.span("%.0f", least2, coolest), temperature)
}

// bounding holds estimates over engine speed, in the units of an axis.
type bounding struct{ x, middle, low, high []float64 }

func bounds(points []duct.Point, of func(float64) float64, what func(duct.Point) estimate.Estimate) (b bounding) {
	for _, q := range points {
		e := what(q)
		b.x = append(b.x, q.EngineSpeed.RevolutionsPerMinute())
		b.middle, b.low, b.high = append(b.middle, of(e.Value)), append(b.low, of(e.Interval.Low)), append(b.high, of(e.Interval.High))
	}
	return b
}

// draw draws a line with its bounds.
func draw(p *Panel, name string, b bounding, look Style) {
	band := Ribbon{X: b.x, Lo: b.low, Hi: b.high, Style: look}
	if name != "" {
		band.Label = name + ", bounds"
	}
	p.Ribbons = append(p.Ribbons, band)
	p.Lines = append(p.Lines, Line{Label: name, X: b.x, Y: b.middle, Style: look})
}

// alike reports whether two curves can't be told apart in a picture: nowhere
// farther apart than a hundredth of their height.
func alike(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	height, apart := 0.0, 0.0
	for i := range a {
		height, apart = math.Max(height, math.Abs(a[i])), math.Max(apart, math.Abs(a[i]-b[i]))
	}
	return apart <= 0.01*height
}

// byRoadSpeed groups points in the order in which the speeds first occur.
func byRoadSpeed(points []duct.Point) [][]duct.Point {
	index := map[quantity.Speed]int{}
	var groups [][]duct.Point
	for _, p := range points {
		i, ok := index[p.RoadSpeed]
		if !ok {
			i = len(groups)
			index[p.RoadSpeed] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], p)
	}
	return groups
}
