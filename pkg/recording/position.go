package recording

import (
	"math"
	"regexp"
	"strings"
)

var (
	degreeMinutes = &unit{name: "ddmm.mmmm", content: HoldsAngle, minutes: true}
	tenMillionths = &unit{name: "1e-7°", content: HoldsAngle, factor: degree.factor * 1e-7}
)

// positionForm sees whether latitudes are written as degrees and minutes in
// one number, as NMEA 0183 does (4630.25 is 46° 30.25'), or as whole
// ten-millionths of a degree. Either is told by latitudes beyond 90.
func (d *detector) positionForm() {
	var form *unit
	for _, c := range d.columns {
		if c.content == HoldsLatitude && c.reason != "layout" {
			form = formOf(d.evidence[c.number-1].values)
		}
	}
	if form == nil {
		return
	}
	for i := range d.columns {
		if c := &d.columns[i]; (c.content == HoldsLatitude || c.content == HoldsLongitude) && c.reason != "layout" {
			c.unit, c.reason = form, "latitudes beyond 90"
		}
	}
}

func formOf(latitudes []float64) *unit {
	beyond, minutes, whole := 0, true, true
	for _, v := range latitudes {
		if v == 0 {
			continue // no fix
		}
		if a := math.Abs(v); a > 90 {
			beyond++
			minutes = minutes && a <= 9000 && math.Mod(a, 100) < 60
			whole = whole && a > 1e5 && a <= 9e8 && a == math.Trunc(a)
		}
	}
	switch {
	case beyond == 0 || 2*beyond < len(latitudes):
		return nil
	case minutes:
		return degreeMinutes
	case whole:
		return tenMillionths
	}
	return nil
}

// letterBehind matches a name that ends in a single C or F: "Intake_C", "T1.F".
var letterBehind = regexp.MustCompile(`^(.*[^ _.-])[ _.-]+([CF])$`)

// suffixUnits takes a C or F behind the names for a unit of temperature where
// all columns of unknown numbers end in the same one; one alone may mean
// anything, such as "front".
func (d *detector) suffixUnits() {
	letter := ""
	var found []*planColumn
	for i := range d.columns {
		c := &d.columns[i]
		if c.content != HoldsNumber && !(c.content == HoldsTemperature && c.unit == nil) || c.reason != "" || c.found != "" {
			continue
		}
		m := letterBehind.FindStringSubmatch(c.name)
		if m == nil {
			if c.content == HoldsTemperature || d.evidence[c.number-1].fraction {
				return
			}
			continue
		}
		if letter != "" && letter != m[2] {
			return
		}
		letter = m[2]
		found = append(found, c)
	}
	if len(found) < 2 {
		return
	}
	u, _ := lookUpUnit(letter)
	for _, c := range found {
		c.name = strings.TrimSpace(letterBehind.FindStringSubmatch(c.name)[1])
		c.content, c.unit, c.found, c.reason = HoldsTemperature, u, letter, "letter behind the names"
	}
	d.warnings.add(unitAssumed, names(found), "the letter "+letter+" behind the names is taken for "+u.name+"; if it is part of the names, set the units under [[columns]]")
}
