package detect

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findTemperatureUnit finds the unit of temperatures that carry none. All of
// them together decide, since a logger writes its channels alike.
func (d *detector) findTemperatureUnit() error {
	var open []*plan.Column
	var values []float64
	named := false
	for i := range d.columns {
		c := &d.columns[i]
		if (c.Content == layout.HoldsTemperature || c.Content == layout.HoldsDifference) && c.Unit == nil {
			open = append(open, c)
			named = named || d.Header[c.Number-1] != ""
			if heading.IsExhaust(c.Name) {
				continue // hotter than what the weighing knows
			}
			for _, v := range d.Evidence[c.Number-1].Values {
				if !cell.IsSentinelNumber(v) && v > -200 && v < 2500 {
					values = append(values, v)
				}
			}
		}
	}
	if len(open) == 0 {
		return nil
	}
	settle := func(u *unit.Unit, reason string) {
		for _, c := range open {
			c.Unit, c.Reason = u, reason
		}
	}
	if s := d.Layout.TemperatureUnit; s != "" {
		u, _ := unit.LookUp(s)
		settle(u, "layout")
		return nil
	}
	if c := d.markedSibling(); c != nil {
		settle(c.Unit, "as "+c.Name+" in the same file")
		return nil
	}
	if a, b := d.unlikeSiblings(values); a != nil {
		return &account.AmbiguousError{File: d.Src.Path, Line: d.First, What: fmt.Sprintf("unit of the temperatures in %s, beside %s in %s and %s in %s", names(open), a.Name, a.Unit.Name, b.Name, b.Unit.Name),
			Readings: []account.Reading{
				{Meaning: spanIn(values, unit.Celsius), Setting: `temperature_unit = "°C"`},
				{Meaning: spanIn(values, unit.Fahrenheit), Setting: `temperature_unit = "°F"`},
			}}
	}
	if u, line := d.statedTemperature(); u != nil {
		settle(u, fmt.Sprintf("line %d says so", line))
		return nil
	}
	if len(values) == 0 {
		settle(unit.Celsius, "no value to tell by")
		return nil
	}
	u, reason := d.weighTemperatures(values)
	if u == nil {
		return &account.AmbiguousError{File: d.Src.Path, Line: d.First, What: fmt.Sprintf("unit of the temperatures in %s (%s)", names(open), reason),
			Readings: temperatureReadings(values)}
	}
	settle(u, reason)
	if !named {
		d.warnings.Add(account.UnitAssumed, names(open), fmt.Sprintf("the file has no header: taken for temperatures in %s (%s)", u.Name, reason))
	} else {
		d.warnings.Add(account.UnitAssumed, names(open), fmt.Sprintf("no unit in the file: read in %s (%s)", u.Name, reason))
	}
	return nil
}

// markedSibling returns a column of temperature that carries a unit, nil if
// none does or they differ.
func (d *detector) markedSibling() *plan.Column {
	var found *plan.Column
	for i := range d.columns {
		c := &d.columns[i]
		if c.Content != layout.HoldsTemperature || c.Unit == nil {
			continue
		}
		if found != nil && found.Unit != c.Unit {
			return nil
		}
		found = c
	}
	return found
}

// unlikeSiblings returns two columns of temperature that carry different units,
// nil if there are none.
func (d *detector) unlikeSiblings(values []float64) (a, b *plan.Column) {
	if len(values) == 0 { // nothing to show of either reading
		return nil, nil
	}
	for i := range d.columns {
		c := &d.columns[i]
		switch {
		case c.Content != layout.HoldsTemperature || c.Unit == nil:
		case a == nil:
			a = c
		case c.Unit != a.Unit:
			return a, c
		}
	}
	return nil, nil
}

// statedTemperature finds a line before the names that states the unit of
// temperature: "Unit: °F". Nil where there is none or lines disagree.
func (d *detector) statedTemperature() (u *unit.Unit, line int) {
	for _, l := range d.Sample.Lines[:d.First] {
		text := cell.Decode(l.Text)
		if low := strings.ToLower(text); !strings.Contains(low, "unit") && !strings.Contains(low, "einheit") {
			continue
		}
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t,;:|=\"()[]/", r) }) {
			k, ok := unit.LookUp(w)
			if !ok || k.Kind() != quantity.KindTemperature {
				continue
			}
			if u != nil && u != k {
				return nil, 0
			}
			u, line = k, l.Number
		}
	}
	return u, line
}

func spanIn(values []float64, u *unit.Unit) string {
	lo, hi := numbers.Quantiles(values)
	return fmt.Sprintf("%s: %.0f to %.0f °C", u.Name, unit.Celsius.FromSI(u.SI(lo)), unit.Celsius.FromSI(u.SI(hi)))
}

// temperatureReadings lists the units that temperatures without one may be in,
// the likeliest first: the one in which the coldest reading is nearest to
// ordinary air.
func temperatureReadings(values []float64) []account.Reading {
	lo, hi := numbers.Quantiles(values)
	units := []*unit.Unit{unit.Celsius, unit.Fahrenheit}
	if lo > 50 {
		units = []*unit.Unit{unit.Fahrenheit, unit.Celsius}
	}
	if whole(values) && hi >= 130 {
		units = append(units, unit.TenthCelsius)
		if lo > 110 {
			units = []*unit.Unit{unit.TenthCelsius, unit.Celsius, unit.Fahrenheit}
		}
	}
	if lo > 250 {
		units = append(units, unit.Kelvin)
	}
	var readings []account.Reading
	for _, u := range units {
		readings = append(readings, account.Reading{Meaning: spanIn(values, u), Setting: fmt.Sprintf("temperature_unit = %q", u.Name)})
	}
	return readings
}

// whole reports whether no number has a fraction.
func whole(values []float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return v != math.Trunc(v) })
}

// weighTemperatures decides by what a car and its surroundings can be. The
// coldest reading of a log lies near the outside air, −40 to 50 °C, and
// something in it usually gets warm. Common practice, no source.
func (d *detector) weighTemperatures(values []float64) (*unit.Unit, string) {
	lo, hi := numbers.Quantiles(values)
	if lo > 250 && hi < 450 && !whole(values) {
		return unit.Kelvin, fmt.Sprintf("%.0f to %.0f is air and coolant in kelvin only", lo, hi)
	}
	if d.hasEngineParameters() && hi < 130 {
		return unit.Celsius, "named like the parameters of SAE J1979, which counts them in °C"
	}
	if q := numbers.DigitalStep(values); q != "" {
		return unit.Celsius, "steps of " + q + ", as digital sensors write that count in °C"
	}
	asFahrenheit := unit.Celsius.FromSI(unit.Fahrenheit.SI(hi))
	switch {
	case lo > 50: // °F, tenths of °C, or °C in a bay that was hot from the start
		return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
	case lo < -40:
		if unit.Celsius.FromSI(unit.Fahrenheit.SI(lo)) > -60 && hi < 60 {
			return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
		}
		return unit.Celsius, fmt.Sprintf("%.0f to %.0f", lo, hi)
	case lo <= 45 && hi > 60 && hi <= 130:
		return unit.Celsius, fmt.Sprintf("%.0f to %.0f: as °F the hottest reading would be no more than %.0f °C", lo, hi, asFahrenheit)
	}
	return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
}
