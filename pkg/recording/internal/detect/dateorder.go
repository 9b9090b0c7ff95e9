package detect

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/dates"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findDateOrder finds the order of day, month and year from the dates, and
// asks where they leave it open.
func (d *detector) findDateOrder() error {
	c := &d.clock
	if c.Format != layout.Stamp {
		return nil
	}
	if c.Parts[0] > 0 || c.Week > 0 {
		c.Order = layout.YearMonthDay
		return d.basePartwise()
	}
	if d.Layout.DateOrder != "" {
		c.Order = d.Layout.DateOrder
		d.Note("date_order", c.Order.InWords(), "layout")
		return d.setBase()
	}
	seen := d.sampleDates()
	if len(seen) == 0 {
		return d.Src.Fail("has no date that can be read", "set date_order in the layout, or see which column holds the date", account.ErrNoTime)
	}
	order, reason, open := dates.Order(seen, d.Decimal == ',')
	if open && !d.Sample.Whole {
		all, err := d.scanDates()
		if err != nil {
			return err
		}
		seen = all
		order, reason, open = dates.Order(seen, d.Decimal == ',')
	}
	if open {
		return d.ambiguousOrder(seen)
	}
	c.Order = order
	if p := seen[0].Parts; p.FirstDigits != 4 && p.LastDigits <= 2 && p.Month == 0 && order == layout.DayMonthYear && reason != "" {
		if _, _, _, ok := p.Civil(layout.YearMonthDay); ok && strings.ContainsAny(seen[0].Written, "/-") {
			return d.ambiguousOrder(seen) // 25/10/27: only between points is the day sure to come first
		} else if ok {
			d.warnings.Add(estimate.ClockDoubtful, d.Src.Name(), fmt.Sprintf("dates such as %q have a year of two digits and are read day first (%s); if the year comes first, set date_order = \"ymd\"", seen[0].Written, reason))
		}
	}
	d.Note("date_order", order.InWords(), reason)
	return d.setBase()
}

// dateCell returns the date as written in a row, or nil.
func (d *detector) dateCell(cells [][]byte) []byte {
	c := &d.clock
	switch {
	case c.Stamp > 0 && c.Stamp <= len(cells):
		date, _, ok := parse.SplitStamp(cells[c.Stamp-1])
		if ok {
			return date
		}
	case c.Date > 0 && c.Date <= len(cells):
		return cells[c.Date-1]
	}
	return nil
}

// sampleDates returns the sample's dates in order, neighbours that are alike
// only once.
func (d *detector) sampleDates() []dates.Seen {
	var seen []dates.Seen
	if d.dates != nil {
		return d.dates
	}
	for _, l := range d.Sample.Lines[d.First:] {
		seen = dates.Append(seen, d.dateCell(d.CellsOf(l.Text)), l.Number)
	}
	d.dates = seen
	return seen
}

// scanDates reads the dates of the whole file.
func (d *detector) scanDates() ([]dates.Seen, error) {
	const enough = 10000
	var seen []dates.Seen
	var cells [][]byte
	for l, err := range d.Src.Lines() {
		if err != nil {
			return nil, err
		}
		if l.Number <= d.First || l.Long {
			continue
		}
		cells = cell.Split(l.Text, d.Delim, cells)
		for i := range cells {
			cells[i] = cell.Trim(cells[i])
		}
		if seen = dates.Append(seen, d.dateCell(cells), l.Number); len(seen) >= enough {
			break
		}
	}
	return seen, nil
}

// ambiguousOrder names the readings of the first date that has several.
func (d *detector) ambiguousOrder(seen []dates.Seen) error {
	s := seen[0]
	err := &account.AmbiguousError{File: d.Src.Path, Line: s.Line, What: fmt.Sprintf("order of day and month in %q", s.Written)}
	for _, o := range s.Parts.ValidOrders() {
		y, m, day, _ := s.Parts.Civil(o)
		err.Readings = append(err.Readings, account.Reading{
			Meaning: fmt.Sprintf("%s: %04d-%02d-%02d", o.InWords(), y, m, day), Setting: fmt.Sprintf("date_order = %q", string(o))})
	}
	return err
}

// setBase lets row times count from midnight of the first date, so that they
// stay small and exact.
func (d *detector) setBase() error {
	for _, s := range d.sampleDates() {
		if v, ok := s.Days(d.clock.Order); ok {
			d.clock.Base = v * 86400
			d.findZone()
			return nil
		}
	}
	return d.Src.Fail(fmt.Sprintf("has no date that exists when read %s", d.clock.Order.InWords()), "set another date_order in the layout", account.ErrNoTime)
}
