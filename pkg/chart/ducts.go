package chart

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/duct"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Duct draws what a duct does at full throttle over engine speed: power with
// its range, degrees gained and pressure lost, in the points' units
// ([duct.Installation]). Each road speed has a look of its own.
func Duct(points []duct.Point) *Figure {
	power := Panel{YLabel: "power (%)", ZeroLine: true, Weight: 1.3}
	var units quantity.Preferred
	if len(points) > 0 {
		units = points[0].Units
	}
	degrees, pressure, speed := units.Of(quantity.KindTemperatureDifference), quantity.KindPressure.Unit("kPa"), units.Of(quantity.KindSpeed)
	if units.Pressure != (quantity.Unit{}) {
		pressure = units.Pressure
	}
	cooler := Panel{YLabel: fmt.Sprintf("intake cooler by (%s)", degrees.Symbol()), Right: OtherScale(degrees), Weight: 0.8}
	lost := Panel{YLabel: fmt.Sprintf("pressure lost (%s)", pressure.Symbol()), Weight: 0.8}
	for i, group := range byRoadSpeed(points) {
		look := Look(i)
		name := fmt.Sprintf("at %.0f %s", speed.FromSI(float64(group[0].RoadSpeed)), speed.Symbol())
		band := Ribbon{Label: name + ", range", Style: look}
		p, k, l := Line{Label: name, Style: look}, Line{Style: look}, Line{Style: look}
		for _, q := range group {
			n := q.EngineSpeed.RevolutionsPerMinute()
			band.X, band.Lo, band.Hi = append(band.X, n), append(band.Lo, 100*q.Power.Interval.Low), append(band.Hi, 100*q.Power.Interval.High)
			p.X, p.Y = append(p.X, n), append(p.Y, 100*q.Power.Value)
			k.X, k.Y = append(k.X, n), append(k.Y, degrees.FromSI(q.Gained.Value))
			l.X, l.Y = append(l.X, n), append(l.Y, pressure.FromSI(q.Lost.Value))
		}
		power.Ribbons, power.Lines = append(power.Ribbons, band), append(power.Lines, p)
		if i == 0 { // neither depends on the road speed
			cooler.Lines, lost.Lines = []Line{k}, []Line{l}
		}
	}
	return &Figure{Title: "What the duct does at full throttle", XLabel: "engine speed (rpm)", Panels: []Panel{power, cooler, lost}}
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
