package detect

import (
	"math"
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// positionForm sees whether latitudes are written as degrees and minutes in
// one number, as NMEA 0183 does (4630.25 is 46° 30.25'), or as whole
// ten-millionths of a degree. Either is told by latitudes beyond 90.
func (d *detector) positionForm() {
	var form *unit.Unit
	for _, c := range d.columns {
		if c.Content == layout.HoldsLatitude && !d.unitStated(c.Number) {
			form = formOf(d.Evidence[c.Number-1].Values)
		}
	}
	if form == nil {
		return
	}
	for i := range d.columns {
		if c := &d.columns[i]; (c.Content == layout.HoldsLatitude || c.Content == layout.HoldsLongitude) && !d.unitStated(c.Number) {
			c.Unit, c.Reason = form, "latitudes beyond 90"
		}
	}
}

// unitStated reports whether the layout gives the column's unit.
func (d *detector) unitStated(number int) bool {
	l, ok := d.LayoutFor(number)
	return ok && l.Unit != ""
}

func formOf(latitudes []float64) *unit.Unit {
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
		return unit.DegreeMinutes
	case whole:
		return unit.TenMillionths
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
	var found []*plan.Column
	for i := range d.columns {
		c := &d.columns[i]
		if c.Content != layout.HoldsNumber && !(c.Content == layout.HoldsTemperature && c.Unit == nil) || c.Reason != "" || c.Found != "" {
			continue
		}
		m := letterBehind.FindStringSubmatch(c.Name)
		if m == nil {
			if c.Content == layout.HoldsTemperature || d.Evidence[c.Number-1].Fraction {
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
	u, _ := unit.LookUp(letter)
	for _, c := range found {
		c.Name = strings.TrimSpace(letterBehind.FindStringSubmatch(c.Name)[1])
		c.Content, c.Unit, c.Found, c.Reason = layout.HoldsTemperature, u, letter, "letter behind the names"
	}
	d.warnings.Add(account.UnitAssumed, names(found), "the letter "+letter+" behind the names is taken for "+u.Name+"; if it is part of the names, set the units under [[columns]]")
}
