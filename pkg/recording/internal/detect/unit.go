package detect

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// unitBeside takes the unit from a line of units, from the cells themselves or
// from the next column.
func (d *detector) unitBeside(c *plan.Column, e grid.Evidence) {
	if c.Unit == unit.Percent && !strings.Contains(c.Found, "%") && len(e.Values) > 0 && slices.Max(e.Values) <= 1 {
		c.Unit, c.Found, c.Reason = unit.Fraction, "", "no number above 1"
	}
	if c.Unit == nil && c.Number <= len(d.Units) {
		s := strings.Trim(d.Units[c.Number-1], "[]()")
		if u, ok := unit.LookUp(s); ok {
			c.Unit, c.Found, c.Reason = u, s, fmt.Sprintf("line of units %d", d.First)
		}
	}
	suggested, _ := heading.ContentOf(c.Name)
	position := suggested == layout.HoldsLatitude || suggested == layout.HoldsLongitude // 46.5S is no second
	if u, ok := unit.LookUp(e.Unit); ok && e.Kind == cell.UnitNumeric && c.Unit == nil && !(position && len(e.Unit) == 1) {
		c.Unit, c.Found, c.Reason = u, e.Unit, "unit behind the numbers"
	}
	if c.Number < d.Fields && !d.isTimeColumn(c.Number+1) {
		if next := d.Evidence[c.Number]; next.Kind == cell.Unit {
			if u, ok := unit.LookUp(next.Unit); ok {
				c.UnitAt = c.Number + 1
				if c.Unit == nil {
					c.Unit, c.Found, c.Reason = u, next.Unit, "unit column"
				}
			}
		}
	}
}

// hemisphere finds the N, S, E or W beside a latitude or longitude.
func (d *detector) hemisphere(c *plan.Column) {
	if c.Number < d.Fields && d.Evidence[c.Number].Kind == cell.Hemisphere {
		c.SignAt = c.Number + 1
	}
}

// applyLayout lets the layout overrule what was found for one column.
func applyLayout(c *plan.Column, l layout.ColumnLayout) {
	if l.Number > 0 && l.Name != "" {
		c.Name = l.Name
	}
	if l.Holds != "" {
		c.Content = l.Holds
	}
	if l.Unit != "" {
		u, ok := unit.LookUp(l.Unit)
		switch {
		case !ok: // allowed for plain numbers only, see Layout.Check
			u = unit.Raw
		case l.Holds == "":
			if !c.Content.Takes(u.Kind()) || c.Content == layout.HoldsNumber {
				c.Content = layout.ContentOf(u.Kind())
			}
		}
		c.Unit, c.Found, c.Reason = u, l.Unit, "layout"
	} else if c.Unit != nil && !c.Content.Takes(c.Unit.Kind()) {
		c.Unit = nil
	}
	c.Low, c.High = l.Min, l.Max
}

// assumeUnit gives the unit where a name leaves only one in common use, or
// where the numbers do. Temperatures and speeds are looked at together later.
func (d *detector) assumeUnit(c *plan.Column, e grid.Evidence) {
	switch c.Content {
	case layout.HoldsTemperature, layout.HoldsDifference, layout.HoldsSpeed:
		return
	case layout.HoldsNumber:
		c.Unit = unit.Raw
		return
	case layout.HoldsPressure:
		d.assumePressure(c, table.Median(e.Values))
		return
	case layout.HoldsHumidity:
		c.Unit, c.Reason = unit.Percent, "numbers up to 100"
		if len(e.Values) > 0 && slices.Max(e.Values) <= 1 {
			c.Unit, c.Reason = unit.Fraction, "no number above 1"
		}
		return
	case layout.HoldsLength:
		if heading.EngineParameters(d.Header) && slices.Contains(heading.Words(c.Name), "distance") {
			c.Unit, c.Reason = unit.Kilometre, "named like the parameters of SAE J1979, which counts distance in km"
			return
		}
		// Phones write altitude in metres; a distance may be in anything.
		c.Unit, c.Reason = unit.Metre, "by its name; metres are usual"
		d.warnings.Add(account.UnitAssumed, c.Name, "carries no unit and is read in metres")
		return
	}
	if c.Unit = usualUnits[c.Content]; c.Unit == nil { // "time" for a column that is not the time
		c.Content, c.Unit = layout.HoldsNumber, unit.Raw
		return
	}
	c.Reason = "usual for " + string(c.Content)
}

// assumePressure tells the unit by the size of air pressure in it.
func (d *detector) assumePressure(c *plan.Column, middle float64) {
	switch {
	case heading.EngineParameters(d.Header) && middle <= 400:
		c.Unit, c.Reason = unit.KiloPa, "named like the parameters of SAE J1979, which counts pressure in kPa"
	case middle > 80 && middle < 110:
		c.Unit, c.Reason = unit.KiloPa, fmt.Sprintf("about %.4g, as air pressure is in kPa", middle)
	case middle > 800 && middle < 1100:
		c.Unit, c.Reason = unit.HectoPa, fmt.Sprintf("about %.4g, as air pressure is in hPa", middle)
	case middle > 80000 && middle < 110000:
		c.Unit, c.Reason = unit.Pascal, fmt.Sprintf("about %.6g, as air pressure is in Pa", middle)
	default:
		c.Content, c.Unit = layout.HoldsNumber, unit.Raw
		d.warnings.Add(account.UnitAssumed, c.Name, "unit of pressure not known, numbers kept as they stand")
	}
}

// usualUnits are those in use where a file names none.
var usualUnits = map[layout.Content]*unit.Unit{
	layout.HoldsLatitude: unit.Degree, layout.HoldsLongitude: unit.Degree, layout.HoldsAngle: unit.Degree,
	layout.HoldsRotation: unit.Rpm, layout.HoldsVoltage: unit.Volt, layout.HoldsPower: unit.Watt, layout.HoldsAccel: unit.MetrePerS2,
}
