package recording

import "strings"

// complete returns the layout that was found, with nothing left to guess.
func (d *detector) complete() Layout {
	l := d.layout
	l.Format = Text
	l.Encoding = d.src.encoding
	l.Delimiter = d.delimiter
	l.Decimal = Decimal(d.decimal)
	first := d.first
	l.HeaderLines = &first
	l.DateOrder = d.clock.order
	if !(d.clock.format == ElapsedClock && d.layout.TimeFormat == "" && len(d.warnings) > 0) {
		l.TimeFormat = d.clock.format
	}
	l.Columns = nil
	for n := 1; n <= d.fields; n++ {
		l.Columns = append(l.Columns, d.completeColumn(n))
	}
	return l
}

func (d *detector) completeColumn(n int) ColumnLayout {
	c := ColumnLayout{Number: n, Holds: HoldsNothing}
	switch n {
	case d.clock.stamp:
		c.Holds = HoldsDateTime
	case d.clock.date:
		c.Holds = HoldsDate
	case d.clock.clock, d.clock.value:
		c.Holds = HoldsTime
	}
	if part := d.clock.partAt(n); part != "" {
		c.Holds = part
	}
	for _, k := range d.columns {
		switch n {
		case k.number:
			c = ColumnLayout{Number: n, Name: k.name, Holds: k.content, Unit: k.unit.name, Min: k.low, Max: k.high}
			if k.content == HoldsNumber && strings.TrimSpace(k.unit.name) == "" {
				c.Unit = k.found
			}
		case k.unitAt:
			c.Holds = HoldsUnit
		}
	}
	return c
}
