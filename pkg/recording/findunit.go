package recording

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
)

// findTemperatureUnit finds the unit of temperatures that carry none. All of
// them together decide, since a logger writes its channels alike.
func (d *detector) findTemperatureUnit() error {
	var open []*planColumn
	var values []float64
	named := false
	for i := range d.columns {
		c := &d.columns[i]
		if (c.content == HoldsTemperature || c.content == HoldsDifference) && c.unit == nil {
			open = append(open, c)
			named = named || d.header[c.number-1] != ""
			if isExhaust(c.name) {
				continue // hotter than what the weighing knows
			}
			for _, v := range d.evidence[c.number-1].values {
				if !isSentinelNumber(v) && v > -200 && v < 2500 {
					values = append(values, v)
				}
			}
		}
	}
	if len(open) == 0 {
		return nil
	}
	settle := func(u *unit, reason string) {
		for _, c := range open {
			c.unit, c.reason = u, reason
		}
	}
	if s := d.layout.TemperatureUnit; s != "" {
		u, _ := lookUpUnit(s)
		settle(u, "layout")
		return nil
	}
	if c := d.markedSibling(); c != nil {
		settle(c.unit, "as "+c.name+" in the same file")
		return nil
	}
	if a, b := d.unlikeSiblings(); a != nil {
		return &AmbiguousError{File: d.src.path, Line: d.first, What: fmt.Sprintf("unit of the temperatures in %s, beside %s in %s and %s in %s", names(open), a.name, a.unit.name, b.name, b.unit.name),
			Readings: []Reading{
				{spanIn(values, celsius), `temperature_unit = "°C"`},
				{spanIn(values, fahrenheit), `temperature_unit = "°F"`},
			}}
	}
	if u, line := d.statedTemperature(); u != nil {
		settle(u, fmt.Sprintf("line %d says so", line))
		return nil
	}
	if len(values) == 0 {
		settle(celsius, "no value to tell by")
		return nil
	}
	u, reason := d.weighTemperatures(values, slices.ContainsFunc(open, func(c *planColumn) bool { return !isLiquid(c.name) }))
	if u == nil {
		return &AmbiguousError{File: d.src.path, Line: d.first, What: fmt.Sprintf("unit of the temperatures in %s (%s)", names(open), reason),
			Readings: []Reading{
				{spanIn(values, celsius), `temperature_unit = "°C"`},
				{spanIn(values, fahrenheit), `temperature_unit = "°F"`},
			}}
	}
	settle(u, reason)
	if !named {
		d.warnings.add(unitAssumed, names(open), fmt.Sprintf("the file has no header: %s are taken for temperatures in %s (%s)", names(open), u.name, reason))
	} else {
		d.warnings.add(unitAssumed, names(open), fmt.Sprintf("no unit in the file: %s read in %s (%s)", names(open), u.name, reason))
	}
	return nil
}

// markedSibling returns a column of temperature that carries a unit, nil if
// none does or they differ.
func (d *detector) markedSibling() *planColumn {
	var found *planColumn
	for i := range d.columns {
		c := &d.columns[i]
		if c.content != HoldsTemperature || c.unit == nil {
			continue
		}
		if found != nil && found.unit != c.unit {
			return nil
		}
		found = c
	}
	return found
}

// unlikeSiblings returns two columns of temperature that carry different units,
// nil if there are none.
func (d *detector) unlikeSiblings() (a, b *planColumn) {
	for i := range d.columns {
		c := &d.columns[i]
		switch {
		case c.content != HoldsTemperature || c.unit == nil:
		case a == nil:
			a = c
		case c.unit != a.unit:
			return a, c
		}
	}
	return nil, nil
}

// statedTemperature finds a line before the names that states the unit of
// temperature: "Unit: °F". Nil where there is none or lines disagree.
func (d *detector) statedTemperature() (u *unit, line int) {
	for _, l := range d.sample.lines[:d.first] {
		text := decodeText(l.text)
		if low := strings.ToLower(text); !strings.Contains(low, "unit") && !strings.Contains(low, "einheit") {
			continue
		}
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t,;:|=\"()[]/", r) }) {
			k, ok := lookUpUnit(w)
			if !ok || k.content != HoldsTemperature {
				continue
			}
			if u != nil && u != k {
				return nil, 0
			}
			u, line = k, l.number
		}
	}
	return u, line
}

func names(columns []*planColumn) string {
	s := ""
	for i, c := range columns {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%q", c.name)
	}
	return s
}

func spanIn(values []float64, u *unit) string {
	lo, hi := quantiles(values)
	return fmt.Sprintf("%s: %.0f to %.0f °C", u.name, u.si(lo)-273.15, u.si(hi)-273.15)
}

// quantiles returns the lowest and highest value that are not single strays.
func quantiles(values []float64) (lo, hi float64) {
	v := slices.Clone(values)
	sort.Float64s(v)
	skip := min(3, len(v)/20)
	return v[skip], v[len(v)-1-skip]
}

// weighTemperatures decides by what a car and its surroundings can be. The
// coldest reading of a log lies near the outside air, −40 to 50 °C, and
// something in it usually gets warm. Where no channel measures air, a log may
// begin warm. Common practice, no source.
func (d *detector) weighTemperatures(values []float64, air bool) (*unit, string) {
	lo, hi := quantiles(values)
	if lo > 223 && hi < 1700 && lo > 250 {
		return kelvin, fmt.Sprintf("%.0f to %.0f is air and coolant in kelvin only", lo, hi)
	}
	if d.hasEngineParameters() && hi < 130 {
		return celsius, "named like the parameters of SAE J1979, which counts them in °C"
	}
	if q := digitalStep(values); q != "" {
		return celsius, "steps of " + q + ", as digital sensors write that count in °C"
	}
	asFahrenheit := fahrenheit.si(hi) - 273.15
	switch {
	case lo > 50:
		if hi <= 122 && air || hi > 130 {
			return fahrenheit, fmt.Sprintf("%.0f to %.0f: as °C even the coldest reading would be hotter than any air", lo, hi)
		}
		return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
	case lo < -40:
		if fahrenheit.si(lo)-273.15 > -60 && hi < 60 {
			return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
		}
		return celsius, fmt.Sprintf("%.0f to %.0f", lo, hi)
	case lo <= 45 && hi > 60 && hi <= 130:
		return celsius, fmt.Sprintf("%.0f to %.0f: as °F the hottest reading would be no more than %.0f °C", lo, hi, asFahrenheit)
	}
	return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
}

// digitalStep recognises numbers that are all multiples of 1/16 or 1/4 and not
// of 1/10: 12-bit sensors with a serial bus and 14-bit thermocouple converters
// count so, and both in °C (common practice, from data sheets of such parts).
func digitalStep(values []float64) string {
	for _, k := range []struct {
		n    float64
		name string
	}{{4, "1/4"}, {16, "1/16"}} {
		on, tenths := 0, 0
		for _, v := range values {
			f := v * k.n
			// Written with three or four decimals, rounded or cut.
			if math.Abs(f-math.Round(f)) <= 0.0011*k.n {
				on++
			}
			if g := v * 10; math.Abs(g-math.Round(g)) < 1e-6 {
				tenths++
			}
		}
		if on == len(values) && len(values) >= 20 && tenths < len(values)*7/10 {
			return k.name
		}
	}
	return ""
}

// isLiquid reports whether a name is that of a channel in water or oil, which
// may be hot from the first row on.
func isLiquid(name string) bool {
	return slices.ContainsFunc(nameWords(name), func(w string) bool {
		return slices.Contains([]string{"coolant", "water", "tank", "hose", "oil", "ect", "radiator"}, w)
	})
}

// isExhaust reports whether a name is that of a channel in the exhaust.
func isExhaust(name string) bool {
	return slices.ContainsFunc(nameWords(name), func(w string) bool {
		return w == "catalyst" || w == "exhaust" || w == "egt" || w == "cat" || w == "manifold"
	})
}

// hasEngineParameters reports whether the columns are those of an engine
// control unit's diagnosis.
func (d *detector) hasEngineParameters() bool {
	var rotation, coolant, more bool
	for _, h := range d.header {
		for _, w := range nameWords(h) {
			switch w {
			case "rpm":
				rotation = true
			case "coolant":
				coolant = true
			case "throttle", "load", "manifold", "timing":
				more = true
			}
		}
	}
	return rotation && coolant && more
}

// isSentinelNumber reports whether a number in a column of temperatures stands
// for none. Common practice of loggers, no source.
func isSentinelNumber(v float64) bool {
	switch v {
	case 9999, -9999, 999.9, -999.9, 9999.9, -9999.9, 999, -999, 99999, -99999, 999999, 32767, -32768,
		3276.7, -3276.8, 65535, 6553.5, -127:
		return true
	}
	return math.Abs(v) >= 1e30
}
