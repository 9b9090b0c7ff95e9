package detect

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/dates"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/pace"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// checkLayoutColumns refuses a layout that names columns the file hasn't.
func (d *detector) checkLayoutColumns() error {
	for _, l := range d.Layout.Columns {
		found := false
		for n := 1; n <= d.Fields; n++ {
			k, ok := d.LayoutFor(n)
			found = found || (ok && k == l)
		}
		if !found {
			return d.Src.Fail(fmt.Sprintf("has no column number %d, name %q, that its layout speaks of; its header is %q", l.Number, l.Name, d.Header),
				"correct the entry under [[columns]]", account.ErrNoData)
		}
	}
	return nil
}

// pickStamps takes the first column of stamps, or the first date and the first
// time of day.
func (d *detector) pickStamps() {
	c := &d.clock
	for n, e := range d.Evidence {
		switch {
		case e.Kind == cell.Stamp && c.Stamp == 0:
			c.Stamp = n + 1
		case e.Kind == cell.Date && c.Date == 0:
			c.Date = n + 1
		case e.Kind == cell.Clock && c.Clock == 0:
			c.Clock = n + 1
		case e.Kind == cell.Numeric && c.Date == 0 && c.Stamp == 0 && d.compactDates(n):
			c.Date = n + 1
		}
	}
}

// pickCompactClock finds the times of day where they are numbers such as 081507:
// beside dates, or where they step like nothing else.
func (d *detector) pickCompactClock() {
	c := &d.clock
	if c.Stamp > 0 || c.Clock > 0 {
		return
	}
	k := d.compactClock()
	if k < 0 {
		return
	}
	if e := d.Evidence[k]; c.Date == 0 {
		if f := d.Layout.TimeFormat; f != "" && f != layout.TimeOfDay || !pace.Sixties(e.Values[:e.Head]) {
			return
		}
		d.warnings.Add(account.TimeUnit, d.HeaderText(k+1), fmt.Sprintf(`%06.0f and so on are read as hours, minutes and seconds of the day: the numbers leap by 40 more where a minute ends; if they count seconds, set time_format = "elapsed s"`, e.Values[0]))
	}
	c.Clock, c.Compact = k+1, true
}

// dateOnce takes a date that stands in few rows, such as the first alone, for
// that of all.
func (d *detector) dateOnce() error {
	c := &d.clock
	if c.Date == 0 || c.Clock == 0 || d.Evidence[c.Date-1].Kind != cell.Date {
		return nil
	}
	count := d.Evidence[c.Date-1].Count
	if count[cell.Date]*50 > count[cell.Empty] {
		return nil
	}
	for i, l := range d.Sample.Lines[d.First:] {
		cells := d.CellsOf(l.Text)
		if len(cells) < c.Date {
			continue
		}
		seen := dates.Append(nil, cells[c.Date-1], l.Number)
		if len(seen) == 0 {
			continue
		}
		orders := seen[0].Parts.ValidOrders()
		if o := d.Layout.DateOrder; o != "" && slices.Contains(orders, o) {
			orders = []layout.DateOrder{o}
		}
		if !seen[0].SameIn(orders) {
			return d.ambiguousOrder(seen)
		}
		y, m, day, _ := seen[0].Parts.Civil(orders[0])
		c.DateOnce, c.Date = c.Date, 0
		given := d.Layout.Date != ""
		if !given {
			d.Layout.Date = fmt.Sprintf("%04d-%02d-%02d", y, m, day)
		}
		d.Note("date", d.Layout.Date, fmt.Sprintf("line %d, and in few other rows", l.Number))
		if given {
			return nil
		}
		return d.followOn(d.Sample.Lines[min(d.First+i, d.Sample.Head):d.Sample.Head], seen[0], orders[0])
	}
	return nil
}

// followOn refuses a date behind the first that is of another day than the one to
// which the times of day have come.
func (d *detector) followOn(lines []grid.Line, first dates.Seen, o layout.DateOrder) error {
	day, _ := first.Days(o)
	var last int64
	for _, l := range lines {
		cells := d.CellsOf(l.Text)
		if len(cells) < max(d.clock.DateOnce, d.clock.Clock) {
			continue
		}
		if k, ok := parse.Clock(cells[d.clock.Clock-1], false); ok {
			if last-k.Seconds > 12*3600 {
				day++
			}
			last = k.Seconds
		}
		for _, s := range dates.Append(nil, cells[d.clock.DateOnce-1], l.Number) {
			if v, _ := s.Days(o); v != day && !d.has(cell.HalfDay) {
				return d.Src.Fail(fmt.Sprintf("has dates in few rows, and times of day that do not lead from one to the next: %s in line %d, %s in line %d", first.Written, first.Line, s.Written, s.Line),
					fmt.Sprintf("write the date into each row, or cut the file before line %d", s.Line), account.ErrNoTime)
			}
		}
	}
	return nil
}

// compactDates reports whether a column of whole numbers is one of dates such
// as 20250124 or 240125.
func (d *detector) compactDates(n int) bool {
	e := d.Evidence[n]
	name := heading.Words(d.Header[n])
	named := slices.ContainsFunc(name, func(w string) bool { return w == "date" || w == "datum" || w == "day" })
	beside := d.Header[n] == "" && n+1 < len(d.Evidence) && d.Evidence[n+1].Kind == cell.Clock // without a header
	if e.Fraction || !named && !beside || !dates.Digits(e.Values, beside) {
		return false
	}
	return d.compactClock() >= 0 || d.has(cell.Clock)
}

// has reports whether a column holds cells of a kind.
func (d *detector) has(k cell.Kind) bool {
	return slices.ContainsFunc(d.Evidence, func(e grid.Evidence) bool { return e.Kind == k })
}

// compactClock returns the index of a column of times such as 141849, named as
// a time or, beside no date, first and without a name; −1 where there is none.
func (d *detector) compactClock() int {
	for n, e := range d.Evidence {
		named := heading.SuggestsTime(d.Header[n]) || n == 0 && d.Header[n] == "" && d.clock.Date == 0
		if e.Kind == cell.Numeric && named && pace.ClockDigits(e.Values, e.Head) {
			return n
		}
	}
	return -1
}

// pickHalfDay finds AM or PM in a cell of its own.
func (d *detector) pickHalfDay() {
	c := &d.clock
	for n := range d.Evidence {
		if c.Clock > 0 && n >= c.Clock && d.Evidence[n].Kind == cell.HalfDay && c.HalfDay == 0 {
			c.HalfDay = n + 1
		}
	}
}
