package recording

import (
	"bytes"
	"fmt"
	"io"
)

// A seenDate is a date of the file as written, with the line of its first
// appearance in a row.
type seenDate struct {
	parts dateParts
	line  int
	text  string
}

// findDateOrder finds the order of day, month and year from the dates, and
// asks where they leave it open.
func (d *detector) findDateOrder() error {
	c := &d.clock
	if c.format != Stamp {
		return nil
	}
	if c.parts[0] > 0 {
		c.order = YearMonthDay
		return d.basePartwise()
	}
	if d.layout.DateOrder != "" {
		c.order = d.layout.DateOrder
		d.note("date_order", orderName(c.order), "layout")
		return d.setBase()
	}
	dates := d.sampleDates()
	if len(dates) == 0 {
		return d.src.fail("has no date that can be read", "set date_order in the layout, or see which column holds the date", ErrNoTime)
	}
	order, reason, open := decideOrder(dates, d.decimal == ',')
	if open && !d.sample.whole {
		all, err := d.scanDates()
		if err != nil {
			return err
		}
		dates = all
		order, reason, open = decideOrder(dates, d.decimal == ',')
	}
	if open {
		return d.ambiguousOrder(dates)
	}
	c.order = order
	if p := dates[0].parts; p.na != 4 && p.nc <= 2 && p.month == 0 && order == DayMonthYear && reason != "" {
		if _, _, _, ok := p.civil(YearMonthDay); ok {
			d.warnings.add(clockDoubtful, d.src.path, fmt.Sprintf("dates such as %q have a year of two digits and are read day first (%s); if the year comes first, set date_order = \"ymd\"", dates[0].text, reason))
		}
	}
	d.note("date_order", orderName(order), reason)
	return d.setBase()
}

func orderName(o DateOrder) string {
	switch o {
	case DayMonthYear:
		return "day first"
	case MonthDayYear:
		return "month first"
	}
	return "year first"
}

// validOrders returns the orders in which the date exists.
func (p dateParts) validOrders() []DateOrder {
	var valid []DateOrder
	for _, o := range []DateOrder{YearMonthDay, DayMonthYear, MonthDayYear} {
		if _, _, _, ok := p.civil(o); ok {
			valid = append(valid, o)
		}
	}
	return valid
}

// decideOrder weighs what speaks for each order; open says that nothing
// decides.
func decideOrder(dates []seenDate, decimalComma bool) (order DateOrder, reason string, open bool) {
	p := dates[0].parts
	switch {
	case p.month > 0:
		return DayMonthYear, "months by name", false
	case p.na == 4:
		return YearMonthDay, "", false
	}
	votes := map[DateOrder]int{}
	for _, s := range dates {
		for _, o := range s.parts.validOrders() {
			votes[o]++
		}
	}
	most := max(votes[YearMonthDay], votes[DayMonthYear], votes[MonthDayYear])
	var left []DateOrder
	for _, o := range []DateOrder{YearMonthDay, DayMonthYear, MonthDayYear} {
		if votes[o] == most {
			left = append(left, o)
		}
	}
	if len(left) == 1 {
		for _, s := range dates {
			if v := s.parts.validOrders(); len(v) == 1 && v[0] == left[0] {
				return left[0], fmt.Sprintf("line %d has %s", s.line, s.text), false
			}
		}
		return left[0], "the only order in which all dates exist", false
	}
	if o, reason, ok := orderByDays(dates, left); ok {
		return o, reason, false
	}
	if len(left) == 2 && left[0] == YearMonthDay && left[1] == DayMonthYear && decimalComma {
		return DayMonthYear, "decimal comma, and two-digit years come last where that is used", false
	}
	for _, o := range left {
		if o == DayMonthYear && bytes.IndexByte([]byte(dates[0].text), '.') > 0 && p.nc == 4 {
			return DayMonthYear, "dates with dots are written day first", false
		}
	}
	return "", "", true
}

// orderByDays looks at how the dates follow one another: rows seldom jump by
// weeks, days follow days.
func orderByDays(dates []seenDate, left []DateOrder) (DateOrder, string, bool) {
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
	var smooth []DateOrder
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

func (s seenDate) days(o DateOrder) (int64, bool) {
	y, m, d, ok := s.parts.civil(o)
	return daysSinceEpoch(y, m, d), ok
}

// dateCell returns the date as written in a row, or nil.
func (d *detector) dateCell(cells [][]byte) []byte {
	c := &d.clock
	switch {
	case c.stamp > 0 && c.stamp <= len(cells):
		date, _, ok := splitStamp(cells[c.stamp-1])
		if ok {
			return date
		}
	case c.date > 0 && c.date <= len(cells):
		return cells[c.date-1]
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
	for _, l := range d.sample.lines[d.first:] {
		dates = appendDate(dates, d.dateCell(d.cellsOf(l.text)), l.number)
	}
	d.dates = dates
	return dates
}

func appendDate(dates []seenDate, cell []byte, line int) []seenDate {
	if cell == nil || (len(dates) > 0 && dates[len(dates)-1].text == string(cell)) {
		return dates
	}
	p, n, ok := splitDate(cell)
	if !ok || n != len(cell) || !anyOrder(p) {
		return dates
	}
	return append(dates, seenDate{p, line, string(cell)})
}

// scanDates reads the dates of the whole file.
func (d *detector) scanDates() ([]seenDate, error) {
	const enough = 10000
	var dates []seenDate
	chunks := newChunker(d.src.reader(0), d.src.cr, 1)
	line := 0
	var cells [][]byte
	for len(dates) < enough {
		ch, err := chunks.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, d.src.fail("can't be read: "+err.Error(), "copy it again from the device", err)
		}
		for rest := ch.data; len(rest) > 0; {
			text := rest
			if i := bytes.IndexByte(rest, '\n'); i >= 0 {
				text, rest = rest[:i], rest[i+1:]
			} else {
				rest = nil
			}
			line++
			if line <= d.first || ch.long {
				continue
			}
			cells = splitCells(text, d.delim, cells)
			for i := range cells {
				cells[i] = trim(cells[i])
			}
			dates = appendDate(dates, d.dateCell(cells), line)
		}
		chunks.free <- ch.data
	}
	return dates, nil
}

// ambiguousOrder names the readings of the first date that has several.
func (d *detector) ambiguousOrder(dates []seenDate) error {
	s := dates[0]
	err := &AmbiguousError{File: d.src.path, Line: s.line, What: fmt.Sprintf("order of day and month in %q", s.text)}
	for _, o := range s.parts.validOrders() {
		y, m, day, _ := s.parts.civil(o)
		err.Readings = append(err.Readings, Reading{
			fmt.Sprintf("%s: %04d-%02d-%02d", orderName(o), y, m, day), fmt.Sprintf("date_order = %q", string(o))})
	}
	return err
}

// setBase lets row times count from midnight of the first date, so that they
// stay small and exact.
func (d *detector) setBase() error {
	for _, s := range d.sampleDates() {
		if v, ok := s.days(d.clock.order); ok {
			d.clock.base = v * 86400
			d.findZone()
			return nil
		}
	}
	return d.src.fail(fmt.Sprintf("has no date that exists when read %s", orderName(d.clock.order)), "set another date_order in the layout", ErrNoTime)
}

// findZone sees whether stamps carry their zone.
func (d *detector) findZone() {
	with, without := 0, 0
	lines := d.sample.lines[d.first:]
	for _, l := range lines[:min(len(lines), 2000)] {
		cells := d.cellsOf(l.text)
		c := &d.clock
		var clock []byte
		switch {
		case c.stamp > 0 && c.stamp <= len(cells):
			_, clock, _ = splitStamp(cells[c.stamp-1])
		case c.clock > 0 && c.clock <= len(cells):
			clock = cells[c.clock-1]
		}
		if t, ok := parseClock(clock, false); ok && t.hasZone {
			with++
		} else if ok {
			without++
		}
	}
	switch {
	case with > 0 && without == 0:
		d.clock.utc = true
		d.note("zone", "UTC known", "the stamps carry their zone")
	case with > 0:
		d.warnings.add(clockDoubtful, d.src.path, fmt.Sprintf("%d stamps of the sample carry a zone and %d do not: those without are taken as they stand", with, without))
	}
}
