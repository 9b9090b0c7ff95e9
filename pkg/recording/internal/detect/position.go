package detect

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// positionForm sees whether latitudes are written as degrees and minutes in
// one number, as NMEA 0183 does (4630.25 is 46° 30.25'), or as whole millionths
// or ten-millionths of a degree. They are told by latitudes beyond 90; it asks
// where both of the latter are possible and the name doesn't say which.
func (d *detector) positionForm() error {
	var form *unit.Unit
	for _, c := range d.columns {
		if c.Content == layout.HoldsLatitude && !d.unitStated(c.Number) {
			if form = formOf(d.Evidence[c.Number-1].Values); form == nil {
				continue
			}
			high := slices.MaxFunc(d.Evidence[c.Number-1].Values, func(a, b float64) int { return cmp.Compare(math.Abs(a), math.Abs(b)) })
			switch {
			case form == unit.DegreeMinutes && math.Abs(high) <= 180:
				return d.askSwapped(c.Number, high)
			case form != unit.TenMillionths:
			case says(d.Header[c.Number-1], "e6", "micro", "microdeg", "microdegrees"):
				form = unit.Millionths
			case math.Abs(high) > 90e6 || says(d.Header[c.Number-1], "e7"):
			default:
				return d.askMillionths(c.Number, high)
			}
		}
	}
	if form == nil {
		return nil
	}
	for i := range d.columns {
		if c := &d.columns[i]; (c.Content == layout.HoldsLatitude || c.Content == layout.HoldsLongitude) && !d.unitStated(c.Number) {
			c.Unit, c.Reason = form, "latitudes beyond 90"
		}
	}
	return nil
}

// says reports whether a name has one of the words.
func says(name string, any ...string) bool {
	return slices.ContainsFunc(heading.Words(name), func(w string) bool { return slices.Contains(any, w) })
}

// askSwapped asks whether latitudes a little beyond 90 are longitudes under the
// wrong name, or degrees and minutes next to the equator.
func (d *detector) askSwapped(number int, v float64) error {
	return &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1, What: fmt.Sprintf("what %s holds, such as %.4f", d.HeaderText(number), v), Readings: []account.Reading{
		{Meaning: "longitudes, the names of the two are swapped", Setting: fmt.Sprintf("[[columns]] number = %d, holds = \"longitude\", and \"latitude\" for the other", number)},
		{Meaning: fmt.Sprintf("degrees and minutes: latitude %.4f°", unit.Degree.FromSI(unit.DegreeMinutes.SI(v))), Setting: fmt.Sprintf("[[columns]] number = %d, unit = %q", number, unit.DegreeMinutes.Name)}}}
}

// askMillionths asks which part of a degree whole latitudes count.
func (d *detector) askMillionths(number int, v float64) error {
	ask := &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1, What: fmt.Sprintf("part of a degree that %s counts, such as %.0f", d.HeaderText(number), v)}
	for _, u := range []*unit.Unit{unit.Millionths, unit.TenMillionths} {
		ask.Readings = append(ask.Readings, account.Reading{Meaning: fmt.Sprintf("%s: latitude %.4f°", u.Name, unit.Degree.FromSI(u.SI(v))),
			Setting: fmt.Sprintf("[[columns]] number = %d, holds = \"latitude\", unit = %q, and the same unit for the longitude", number, u.Name)})
	}
	return ask
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
