package detect

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
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
	dates := d.sampleDates()
	if len(dates) == 0 {
		return d.Src.Fail("has no date that can be read", "set date_order in the layout, or see which column holds the date", account.ErrNoTime)
	}
	order, reason, open := decideOrder(dates, d.Decimal == ',')
	if open && !d.Sample.Whole {
		all, err := d.scanDates()
		if err != nil {
			return err
		}
		dates = all
		order, reason, open = decideOrder(dates, d.Decimal == ',')
	}
	if open {
		return d.ambiguousOrder(dates)
	}
	c.Order = order
	if p := dates[0].parts; p.FirstDigits != 4 && p.LastDigits <= 2 && p.Month == 0 && order == layout.DayMonthYear && reason != "" {
		if _, _, _, ok := p.Civil(layout.YearMonthDay); ok && strings.ContainsAny(dates[0].text, "/-") {
			return d.ambiguousOrder(dates) // 25/10/27: only between points is the day sure to come first
		} else if ok {
			d.warnings.Add(estimate.ClockDoubtful, d.Src.Name(), fmt.Sprintf("dates such as %q have a year of two digits and are read day first (%s); if the year comes first, set date_order = \"ymd\"", dates[0].text, reason))
		}
	}
	d.Note("date_order", order.InWords(), reason)
	return d.setBase()
}

// decideOrder weighs what speaks for each order; open says that nothing
// decides.
func decideOrder(dates []seenDate, decimalComma bool) (order layout.DateOrder, reason string, open bool) {
	p := dates[0].parts
	switch {
	case p.Month > 0:
		return layout.DayMonthYear, "months by name", false
	case p.FirstDigits == 4:
		return layout.YearMonthDay, "", false
	}
	votes := map[layout.DateOrder]int{}
	for _, s := range dates {
		for _, o := range s.parts.ValidOrders() {
			votes[o]++
		}
	}
	most := max(votes[layout.YearMonthDay], votes[layout.DayMonthYear], votes[layout.MonthDayYear])
	var left []layout.DateOrder
	for _, o := range []layout.DateOrder{layout.YearMonthDay, layout.DayMonthYear, layout.MonthDayYear} {
		if votes[o] == most {
			left = append(left, o)
		}
	}
	if len(left) == 1 {
		for _, s := range dates {
			if v := s.parts.ValidOrders(); len(v) == 1 && v[0] == left[0] {
				return left[0], fmt.Sprintf("line %d has %s", s.line, s.text), false
			}
		}
		return left[0], "the only order in which all dates exist", false
	}
	if o, reason, ok := orderByDays(dates, left); ok {
		return o, reason, false
	}
	if len(left) == 2 && left[0] == layout.YearMonthDay && left[1] == layout.DayMonthYear && decimalComma {
		return layout.DayMonthYear, "decimal comma, and two-digit years come last where that is used", false
	}
	for _, o := range left {
		if o == layout.DayMonthYear && bytes.IndexByte([]byte(dates[0].text), '.') > 0 && p.LastDigits == 4 {
			return layout.DayMonthYear, "dates with dots are written day first", false
		}
	}
	return "", "", true
}

// orderByDays looks at how the dates follow one another: rows seldom jump by
// weeks, days follow days.
func orderByDays(dates []seenDate, left []layout.DateOrder) (layout.DateOrder, string, bool) {
	same := true
	first, _ := dates[0].days(left[0])
	for _, s := range dates {
		for _, o := range left {
			v, ok := s.days(o)
			same = same && ok && v == first
		}
	}
	if same {
		return left[len(left)-1], "every order gives the same date", true
	}
	var smooth []layout.DateOrder
	for _, o := range left {
		worst := int64(0)
		for i := 1; i < len(dates); i++ {
			a, okA := dates[i-1].days(o)
			b, okB := dates[i].days(o)
			if okA && okB {
				worst = max(worst, b-a, a-b)
			}
		}
		if worst <= 2 {
			smooth = append(smooth, o)
		}
	}
	if len(smooth) != 1 || len(dates) < 2 {
		return "", "", false
	}
	for i := 1; i < len(dates); i++ {
		if dates[i].text != dates[i-1].text {
			return smooth[0], fmt.Sprintf("line %d: %s is followed by %s", dates[i].line, dates[i-1].text, dates[i].text), true
		}
	}
	return "", "", false
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
func (d *detector) sampleDates() []seenDate {
	var dates []seenDate
	if d.dates != nil {
		return d.dates
	}
	for _, l := range d.Sample.Lines[d.First:] {
		dates = appendDate(dates, d.dateCell(d.CellsOf(l.Text)), l.Number)
	}
	d.dates = dates
	return dates
}

// scanDates reads the dates of the whole file.
func (d *detector) scanDates() ([]seenDate, error) {
	const enough = 10000
	var dates []seenDate
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
		if dates = appendDate(dates, d.dateCell(cells), l.Number); len(dates) >= enough {
			break
		}
	}
	return dates, nil
}

// ambiguousOrder names the readings of the first date that has several.
func (d *detector) ambiguousOrder(dates []seenDate) error {
	s := dates[0]
	err := &account.AmbiguousError{File: d.Src.Path, Line: s.line, What: fmt.Sprintf("order of day and month in %q", s.text)}
	for _, o := range s.parts.ValidOrders() {
		y, m, day, _ := s.parts.Civil(o)
		err.Readings = append(err.Readings, account.Reading{
			Meaning: fmt.Sprintf("%s: %04d-%02d-%02d", o.InWords(), y, m, day), Setting: fmt.Sprintf("date_order = %q", string(o))})
	}
	return err
}

// setBase lets row times count from midnight of the first date, so that they
// stay small and exact.
func (d *detector) setBase() error {
	for _, s := range d.sampleDates() {
		if v, ok := s.days(d.clock.Order); ok {
			d.clock.Base = v * 86400
			d.findZone()
			return nil
		}
	}
	return d.Src.Fail(fmt.Sprintf("has no date that exists when read %s", d.clock.Order.InWords()), "set another date_order in the layout", account.ErrNoTime)
}
