package detect

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/degrees"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// bareTemperatures returns the columns of temperature that carry no unit, their
// numbers together, and whether one has a name.
func (d *detector) bareTemperatures() (open []*plan.Column, values []float64, named bool) {
	var counts []float64 // of parts of a degree
	for i := range d.columns {
		c := &d.columns[i]
		if c.Content != layout.HoldsTemperature && c.Content != layout.HoldsDifference || c.Unit != nil {
			continue
		}
		open = append(open, c)
		named = named || d.Header[c.Number-1] != ""
		if heading.IsExhaust(c.Name) {
			continue // hotter than what the weighing knows
		}
		for _, v := range d.Evidence[c.Number-1].Values {
			switch {
			case cell.IsSentinelNumber(v):
			case v > -200 && v < 2500:
				values = append(values, v)
			case v > -40e3 && v < 300e3:
				counts = append(counts, v)
			}
		}
	}
	if len(counts)*4 > len(values) && degrees.Whole(counts) {
		values = append(values, counts...)
	}
	return open, values, named
}

// findTemperatureUnit finds the unit of temperatures that carry none. All of
// them together decide, since a logger writes its channels alike.
func (d *detector) findTemperatureUnit() error {
	open, values, named := d.bareTemperatures()
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
				{Meaning: degrees.SpanIn(values, unit.Celsius), Setting: `temperature_unit = "°C"`},
				{Meaning: degrees.SpanIn(values, unit.Fahrenheit), Setting: `temperature_unit = "°F"`},
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
	u, reason := degrees.Weigh(values, heading.EngineParameters(d.Header))
	if u == nil {
		return &account.AmbiguousError{File: d.Src.Path, Line: d.First, What: fmt.Sprintf("unit of the temperatures in %s (%s)", names(open), reason),
			Readings: degrees.Readings(values)}
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
