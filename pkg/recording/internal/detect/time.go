package detect

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/pace"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findTime finds the columns that hold the time.
func (d *detector) findTime() error {
	if err := d.checkLayoutColumns(); err != nil {
		return err
	}
	given := d.timeByLayout()
	if !given && d.Layout.TimeFormat != layout.ByInterval && d.Layout.Interval == 0 {
		d.pickStamps()
		d.pickCompactClock()
		if err := d.dateOnce(); err != nil {
			return err
		}
	}
	d.pickHalfDay()
	if !given && d.Layout.Interval == 0 {
		d.pickParts()
		d.pickBeside()
		d.pickWeek()
		d.pickDayOfYear()
	}
	if err := d.checkParts(); err != nil {
		return err
	}
	if err := d.settleTime(given); err != nil {
		return err
	}
	d.findMillis()
	return d.refuseRounded()
}

// timeByLayout takes the columns that the layout says hold the time, and
// reports whether it does.
func (d *detector) timeByLayout() (given bool) {
	c := &d.clock
	for n := 1; n <= d.Fields; n++ {
		l, ok := d.LayoutFor(n)
		if !ok {
			continue
		}
		given = c.TakePart(l.Holds, n) || given
		switch l.Holds {
		case layout.HoldsDateTime:
			c.Stamp, given = n, true
		case layout.HoldsDate:
			c.Date, given = n, true
		case layout.HoldsTime:
			given = true
			if e, f := d.Evidence[n-1], d.Layout.TimeFormat; e.Kind == cell.Clock {
				c.Clock = n
			} else if f == layout.Stamp || f == layout.TimeOfDay && pace.ClockDigits(e.Values, e.Head) {
				c.Clock, c.Compact = n, true
			} else {
				c.Value = n
			}
		}
	}
	if c.Stamp > 0 && d.Evidence[c.Stamp-1].Kind == cell.Numeric {
		c.Stamp, c.Value = 0, c.Stamp
	}
	return given
}

// settleTime says of which format the time is, by the columns that were found.
func (d *detector) settleTime(given bool) error {
	c := &d.clock
	switch {
	case c.Week > 0:
		c.Format, c.Factor, c.UTC = layout.Stamp, d.weekFactor(), true
		d.Note("time", "week of the GPS in "+d.HeaderText(c.Week)+", time within it in "+d.HeaderText(c.Within), "by their names; brought to UTC")
		return nil
	case c.DayOfYear > 0:
		c.Format = layout.Stamp
		columns := "year in " + d.HeaderText(c.Parts[0]) + ", day of it in " + d.HeaderText(c.DayOfYear)
		if c.Parts[3] == 0 && c.Parts[5] > 0 {
			columns += ", seconds of it in " + d.HeaderText(c.Parts[5])
		}
		d.Note("time", columns, "by their names")
		return nil
	case c.Parts[0] > 0:
		c.Format = layout.Stamp
		d.Note("time", "year, month, day, hour, minute and second in columns of their own", "by their names")
		return nil
	case d.Layout.Interval > 0:
		c.Format, c.Factor = layout.ByInterval, d.Layout.Interval
		d.Note("interval_s", fmt.Sprintf("rows %g s apart", d.Layout.Interval), "layout")
		return nil
	case c.Stamp > 0:
		c.Format = layout.Stamp
		d.Note("time", "date and time in "+d.HeaderText(c.Stamp), grid.GivenOr(given, ""))
	case c.Date > 0 && c.Clock > 0:
		c.Format = layout.Stamp
		d.Note("time", "date in "+d.HeaderText(c.Date)+", time in "+d.HeaderText(c.Clock), grid.GivenOr(given, ""))
	case c.Clock > 0:
		if err := d.clockAlone(given); err != nil {
			return err
		}
	default:
		return d.findNumericTime(given)
	}
	name := d.Header[max(c.Stamp, c.Clock)-1]
	c.UTC = slices.ContainsFunc(heading.Words(name), func(w string) bool { return w == "utc" || w == "gmt" })
	return nil
}
