package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// IcingDay is one intake air to be shown among the zones.
type IcingDay struct {
	Name string
	Risk engine.Icing
	// Changed says that it is the changed intake's: those are drawn hollow, in the
	// colour of the unchanged one of the same number.
	Changed bool
}

// IcingZones draws air temperature over dew point with the zones in which
// carburettors of aircraft ice, as far as they were read, and the given days
// as points. Filled areas were read from the curves; a dashed edge is one that
// its zone reaches at least. Nothing is drawn where nothing was read. The axes
// have the units of the first day's risk ([engine.Icing.In]).
func IcingZones(days ...IcingDay) *Figure {
	const from, to, step = -14.0, 19.0, 0.25
	zones := []engine.IcingZone{engine.LightIcing, engine.SeriousIcingSmallThrottle, engine.ModerateIcingCruise, engine.SeriousIcingAnyPower}
	hot := quantity.KindTemperature.Shown()
	if len(days) > 0 {
		hot = days[0].Risk.Units.Of(quantity.KindTemperature)
	}
	shown := func(celsius float64) float64 { return hot.FromSI(quantity.Celsius(celsius).Kelvin()) }
	p := Panel{YLabel: fmt.Sprintf("intake temperature (%s)", hot.Symbol()), Right: OtherScale(hot), Weight: 1.9}
	saturated := Line{Label: "saturated air", Style: Style{Color: grey, Width: 1}}
	for d := from; d <= to; d += step {
		saturated.X, saturated.Y = append(saturated.X, shown(d)), append(saturated.Y, shown(d))
	}
	for i, z := range zones {
		look := Look(i)
		area, edge, least := Ribbon{Label: z.String(), Style: look}, Line{Style: look}, Line{Style: look}
		edge.Style.Dash, least.Style.Dash = nil, []float64{4, 3}
		for d := from; d <= to; d += step {
			limit, basis := warmLimit(z, d)
			inner := d
			if i+1 < len(zones) {
				if next, nextBasis := warmLimit(zones[i+1], d); nextBasis == engine.IcingByChart && next > d {
					inner = next
				}
			}
			read, atLeast := math.NaN(), math.NaN()
			switch basis {
			case engine.IcingByChart:
				read = limit
			case engine.IcingBetweenPoints:
				atLeast = limit
			}
			if n := len(area.X); n > 0 && inner > d && area.Lo[n-1] == area.X[n-1] { // the next zone begins here, with an upright edge
				area.X, area.Lo, area.Hi = append(area.X, shown(d)), append(area.Lo, shown(d)), append(area.Hi, shown(read))
			}
			area.X, area.Lo, area.Hi = append(area.X, shown(d)), append(area.Lo, shown(inner)), append(area.Hi, shown(read))
			edge.X, edge.Y = append(edge.X, shown(d)), append(edge.Y, shown(read))
			least.X, least.Y = append(least.X, shown(d)), append(least.Y, shown(atLeast))
		}
		p.Ribbons = append(p.Ribbons, area)
		p.Lines = append(p.Lines, edge, least)
	}
	p.Lines = append(p.Lines, saturated)
	var dry []string
	seen := map[bool]int{}
	for _, day := range days {
		i := seen[day.Changed]
		seen[day.Changed]++
		t, d := day.Risk.Intake.Temperature.Celsius(), day.Risk.DewPoint.Celsius()
		if math.IsNaN(d) {
			dry = append(dry, day.Name)
			continue
		}
		p.Points = append(p.Points, Points{Label: fmt.Sprintf("%s: %v", day.Name, day.Risk.Risk), X: []float64{shown(d)}, Y: []float64{shown(t)}, Style: Style{Color: sequence[(i+len(zones))%len(sequence)].Color, Hollow: day.Changed}})
	}
	f := &Figure{Title: icingTitle(days), XLabel: fmt.Sprintf("dew point (%s)", hot.Symbol()), Below: OtherScale(hot), Panels: []Panel{p}, Caption: []string{
		"A chart for aircraft engines (Canada, after NRC LR-536); cars differ. Dashed: the zone reaches at least this far. Not read elsewhere.",
	}}
	if seen[true] > 0 {
		f.Caption = append(f.Caption, "Filled points: before the change. Hollow ones: after it.")
	}
	for _, name := range dry {
		f.Caption = append(f.Caption, name+" is dry air and has no dew point.")
	}
	return f
}

// icingTitle names the day with the highest risk.
func icingTitle(days []IcingDay) string {
	if len(days) == 0 {
		return "Where carburettors ice"
	}
	worst, as := days[0], 0
	for _, d := range days {
		if d.Risk.Risk > worst.Risk.Risk {
			worst = d
		}
	}
	for _, d := range days {
		if d.Risk.Risk == worst.Risk.Risk {
			as++
		}
	}
	switch {
	case as == len(days):
		return fmt.Sprintf("Ice in the carburettor: %v with every air shown", worst.Risk.Risk)
	case as > 1:
		return fmt.Sprintf("Ice in the carburettor: %v with %d of %d airs shown", worst.Risk.Risk, as, len(days))
	}
	return fmt.Sprintf("Ice in the carburettor: %v with %s", worst.Risk.Risk, worst.Name)
}

// warmLimit returns the warm limit in °C at a dew point in °C; NaN where the
// zone does not occur or was not read.
func warmLimit(z engine.IcingZone, dew float64) (float64, engine.IcingBasis) {
	limit, basis := engine.IcingWarmLimit(z, quantity.Celsius(dew))
	if c := limit.Celsius(); c >= dew {
		return c, basis
	}
	return math.NaN(), basis
}
