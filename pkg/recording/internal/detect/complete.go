package detect

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// complete returns the layout that was found, with nothing left to guess.
func (d *detector) complete() layout.Layout {
	l := d.Layout
	l.Format = layout.Text
	l.Encoding = d.Src.Encoding
	l.Delimiter = d.Delimiter
	l.Decimal = layout.Decimal(d.Decimal)
	first := d.First
	l.HeaderLines = &first
	l.DateOrder = d.clock.Order
	if !(d.clock.Format == layout.ElapsedClock && d.Layout.TimeFormat == "" && len(d.warnings) > 0) {
		l.TimeFormat = d.clock.Format
	}
	l.Columns = nil
	for n := 1; n <= d.Fields; n++ {
		l.Columns = append(l.Columns, d.completeColumn(n))
	}
	return l
}

func (d *detector) completeColumn(n int) layout.ColumnLayout {
	c := layout.ColumnLayout{Number: n, Holds: layout.HoldsNothing}
	switch n {
	case d.clock.Stamp:
		c.Holds = layout.HoldsDateTime
	case d.clock.Date:
		c.Holds = layout.HoldsDate
	case d.clock.Clock, d.clock.Value:
		c.Holds = layout.HoldsTime
	}
	if part := d.clock.PartAt(n); part != "" {
		c.Holds = part
	}
	if c.Holds == layout.HoldsTimeOfWeek {
		c.Unit = map[bool]string{true: "ms", false: "s"}[d.clock.Factor < 1]
	}
	for _, k := range d.columns {
		switch n {
		case k.Number:
			c = layout.ColumnLayout{Number: n, Name: k.Name, Holds: k.Content, Unit: k.Unit.Name, Min: k.Low, Max: k.High}
			if k.Content == layout.HoldsNumber && strings.TrimSpace(k.Unit.Name) == "" {
				c.Unit = k.Found
			}
		case k.UnitAt:
			c.Holds = layout.HoldsUnit
		}
	}
	return c
}
