package recording

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
)

// clockPlan says where a row's time is and how to read it. Column numbers
// count from 1; 0 is none.
type clockPlan struct {
	format                             TimeFormat
	order                              DateOrder
	stamp, date, clock, halfDay, value int
	// millis holds the milliseconds of the time before it, zoneAt its offset
	// from UTC, parts year, month, day, hour, minute and second.
	millis, zoneAt int
	parts          [6]int
	// factor brings a number to seconds.
	factor float64
	// base is what row times count from, in seconds since 1970-01-01 00:00 of
	// the stamps' own clock; 0 for times without a date.
	base int64
	// compact says that times of day are written as hhmmss.
	compact bool
	// utc says that stamps without a zone are UTC.
	utc bool
}

// numeric reports whether the time is a number.
func (c *clockPlan) numeric() bool { return c.value > 0 }

// factors of the formats that are numbers.
var timeFactors = map[TimeFormat]float64{
	ElapsedSeconds: 1, ElapsedMilliseconds: 1e-3, ElapsedMinutes: 60, ElapsedHours: 3600,
	UnixSeconds: 1, UnixMilliseconds: 1e-3, UnixMicroseconds: 1e-6, UnixNanoseconds: 1e-9,
	SpreadsheetDays: 86400,
}

// headerText is the name of a column for a person.
func (d *detector) headerText(number int) string {
	if s := d.header[number-1]; s != "" {
		return fmt.Sprintf("column %d, %q", number, s)
	}
	return fmt.Sprintf("column %d", number)
}

// layoutFor returns what the layout says about a column.
func (d *detector) layoutFor(number int) (ColumnLayout, bool) {
	name, _, _ := cutUnit(d.header[number-1])
	for _, c := range d.layout.Columns {
		if c.Number == number || (c.Number == 0 && c.Name != "" && (equalFold(c.Name, name) || equalFold(c.Name, d.header[number-1]))) {
			return c, true
		}
	}
	return ColumnLayout{}, false
}

// findTime finds the columns that hold the time.
func (d *detector) findTime() error {
	if err := d.checkLayoutColumns(); err != nil {
		return err
	}
	c := &d.clock
	given := false
	for n := 1; n <= d.fields; n++ {
		l, ok := d.layoutFor(n)
		if !ok {
			continue
		}
		if c.takePart(l.Holds, n) {
			given = true
		}
		switch l.Holds {
		case HoldsDateTime:
			c.stamp, given = n, true
		case HoldsDate:
			c.date, given = n, true
		case HoldsTime:
			given = true
			if k := d.evidence[n-1].kind; k == cellClock {
				c.clock = n
			} else if d.layout.TimeFormat == Stamp {
				c.clock, c.compact = n, true
			} else {
				c.value = n
			}
		}
	}
	if c.stamp > 0 && d.evidence[c.stamp-1].kind == cellNumber {
		c.stamp, c.value = 0, c.stamp
	}
	if !given && d.layout.TimeFormat != ByInterval && d.layout.Interval == 0 {
		d.pickStamps()
	}
	for n := range d.evidence { // AM or PM in a cell of its own
		if c.clock > 0 && n >= c.clock && d.evidence[n].kind == cellHalfDay && c.halfDay == 0 {
			c.halfDay = n + 1
		}
	}
	if !given && d.layout.Interval == 0 {
		d.pickParts()
		d.pickBeside()
	}
	if err := d.checkParts(); err != nil {
		return err
	}
	switch {
	case c.parts[0] > 0:
		c.format = Stamp
		d.note("time", "year, month, day, hour, minute and second in columns of their own", "by their names")
		return nil
	case d.layout.Interval > 0:
		c.format, c.factor = ByInterval, d.layout.Interval
		d.note("interval_s", fmt.Sprintf("rows %g s apart", d.layout.Interval), "layout")
		return nil
	case c.stamp > 0:
		c.format = Stamp
		d.note("time", "date and time in "+d.headerText(c.stamp), givenOr(given, ""))
	case c.date > 0 && c.clock > 0:
		c.format = Stamp
		d.note("time", "date in "+d.headerText(c.date)+", time in "+d.headerText(c.clock), givenOr(given, ""))
	case c.clock > 0:
		if err := d.clockAlone(given); err != nil {
			return err
		}
	default:
		return d.findNumericTime(given)
	}
	name := d.header[max(c.stamp, c.clock)-1]
	c.utc = slices.ContainsFunc(nameWords(name), func(w string) bool { return w == "utc" || w == "gmt" })
	return nil
}

// checkLayoutColumns refuses a layout that names columns the file hasn't.
func (d *detector) checkLayoutColumns() error {
	for _, l := range d.layout.Columns {
		found := false
		for n := 1; n <= d.fields; n++ {
			k, ok := d.layoutFor(n)
			found = found || (ok && k == l)
		}
		if !found {
			return d.src.fail(fmt.Sprintf("has no column number %d, name %q, that its layout speaks of; its header is %q", l.Number, l.Name, d.header),
				"correct the entry under [[columns]]", ErrNoData)
		}
	}
	return nil
}

// pickStamps takes the first column of stamps, or the first date and the first
// time of day.
func (d *detector) pickStamps() {
	c := &d.clock
	for n, e := range d.evidence {
		switch {
		case e.kind == cellStamp && c.stamp == 0:
			c.stamp = n + 1
		case e.kind == cellDate && c.date == 0:
			c.date = n + 1
		case e.kind == cellClock && c.clock == 0:
			c.clock = n + 1
		case e.kind == cellNumber && c.date == 0 && c.stamp == 0 && d.compactDates(n):
			c.date = n + 1
			if k := d.compactClock(); k >= 0 && !d.hasClock() {
				c.clock, c.compact = k+1, true
			}
		}
	}
}

// compactDates reports whether a column of whole numbers is one of dates such
// as 20250124 or 240125.
func (d *detector) compactDates(n int) bool {
	e := d.evidence[n]
	name := nameWords(d.header[n])
	named := slices.ContainsFunc(name, func(w string) bool { return w == "date" || w == "datum" || w == "day" })
	beside := d.header[n] == "" && n+1 < len(d.evidence) && d.evidence[n+1].kind == cellClock // without a header
	if e.fraction || len(e.values) == 0 || !named && !beside {
		return false
	}
	for _, v := range e.values {
		if beside && (v < 19700101 || math.Mod(v, 1e4) < 101 || math.Mod(v, 1e4) > 1231) {
			return false
		}
		if (v < 19700101 || v > 22001231) && (v < 10100 || v > 999999) {
			return false
		}
	}
	return d.compactClock() >= 0 || d.hasClock()
}

// hasClock reports whether a column holds times of day.
func (d *detector) hasClock() bool {
	return slices.ContainsFunc(d.evidence, func(e evidence) bool { return e.kind == cellClock })
}

// compactClock returns the index of a column of times such as 141849, named as
// a time, or −1.
func (d *detector) compactClock() int {
	for n, e := range d.evidence {
		if e.kind != cellNumber || !suggestsTime(d.header[n]) || slices.Max(e.values) < 10000 {
			continue
		}
		fits := true
		for _, v := range e.values {
			k := int64(v)
			fits = fits && v >= 0 && k < 240000 && k%100 < 60 && k/100%100 < 60
		}
		if fits {
			return n
		}
	}
	return -1
}

// clockAlone decides between a time of day and a time since the start.
func (d *detector) clockAlone(given bool) error {
	c := &d.clock
	c.format = TimeOfDay
	reason := "no date in the file"
	words := nameWords(d.header[c.clock-1])
	first, past := d.clockRange(c.clock)
	minutes, open, example := d.twoParts(c.clock)
	if open && d.layout.TimeFormat == "" {
		return &AmbiguousError{File: d.src.path, Line: d.first + 1, What: fmt.Sprintf("unit of the times in %s, such as %q", d.headerText(c.clock), example),
			Readings: []Reading{
				{"hours and minutes of the day", `time_format = "time of day"`},
				{"hours and minutes since the start", `time_format = "elapsed clock"`},
				{"minutes and seconds since the start", `time_format = "elapsed m:s"`}}}
	}
	switch {
	case d.layout.TimeFormat != "":
		c.format, reason = d.layout.TimeFormat, "layout"
	case minutes:
		c.format, reason = ElapsedMinSec, "one colon and a fraction of a second"
	case past:
		c.format, reason = ElapsedClock, "it passes 24 h"
	case slices.Contains(words, "elapsed") || slices.Contains(words, "duration") || slices.Contains(words, "laufzeit"):
		c.format, reason = ElapsedClock, "by its name"
	case first < 60:
		c.format, reason = ElapsedClock, "it begins at zero"
		d.warnings.add(clockDoubtful, d.headerText(c.clock), `times begin within a minute of 0:00 and are taken as time since the start; if they are times of day, set time_format = "time of day"`)
	}
	d.note("time_format", string(c.format)+" in "+d.headerText(c.clock), givenOr(given, reason))
	if c.format == TimeOfDay && d.layout.Date == "" {
		d.findDate()
	}
	return nil
}

// twoParts looks at times of one colon only. With a fraction they are minutes
// and seconds; without one, and beginning at zero, they may be hours and
// minutes as well.
func (d *detector) twoParts(number int) (minutes, open bool, example string) {
	for _, l := range d.sample.lines[d.first:] {
		cells := d.cellsOf(l.text)
		if len(cells) < number {
			continue
		}
		k, ok := parseMinutes(cells[number-1])
		if !ok {
			if classify(cells[number-1], d.decimal) == cellClock {
				return false, false, ""
			}
			continue
		}
		minutes = minutes || bytes.IndexAny(cells[number-1], ".,") >= 0
		open = open || (example == "" && k.seconds < 60)
		if example == "" || len(example) < 5 {
			example = string(cells[number-1])
		}
	}
	return minutes, open && !minutes, example
}

// nameDate matches a date in a file's name.
var nameDate = regexp.MustCompile(`(20[0-9]{2})([-_.]?)(0[1-9]|1[0-2])([-_.]?)([0-3][0-9])`)

// findDate looks for the date of a file of times in its preamble, then in its
// name.
func (d *detector) findDate() {
	set := func(y, m, day int64, where string) {
		if m < 1 || m > 12 || day < 1 || day > daysIn(y, m) {
			return
		}
		d.layout.Date = fmt.Sprintf("%04d-%02d-%02d", y, m, day)
		d.note("date", d.layout.Date, where)
		d.warnings.add(clockDoubtful, d.src.path, fmt.Sprintf("times without a date: %s is taken from %s", d.layout.Date, where))
	}
	for _, l := range d.sample.lines[:d.first] {
		for i := range l.text {
			if i > 0 && (l.text[i-1]-'0' <= 9 || l.text[i-1]|0x20 >= 'a') {
				continue
			}
			p, n, ok := splitDate(l.text[i:])
			if !ok || n < 8 || (i+n < len(l.text) && l.text[i+n]-'0' <= 9) {
				continue
			}
			if v := p.validOrders(); p.na == 4 && len(v) > 0 || p.month > 0 || len(v) == 1 {
				y, m, day, ok := p.civil(v[0])
				if ok {
					set(y, m, day, fmt.Sprintf("line %d", l.number))
					return
				}
			}
		}
	}
	base := filepath.Base(d.src.path)
	if f := nameDate.FindStringSubmatch(base); f != nil && f[2] == f[4] {
		y, _ := strconv.ParseInt(f[1], 10, 64)
		m, _ := strconv.ParseInt(f[3], 10, 64)
		day, _ := strconv.ParseInt(f[5], 10, 64)
		set(y, m, day, "the file's name")
	}
}

// clockRange returns the first time in seconds and whether any passes 24 h.
func (d *detector) clockRange(number int) (first float64, past bool) {
	first = math.NaN()
	for _, l := range d.sample.lines[d.first:] {
		cells := d.cellsOf(l.text)
		if len(cells) < number {
			continue
		}
		if k, ok := parseClock(cells[number-1], true); ok {
			if math.IsNaN(first) {
				first = float64(k.seconds)
			}
			past = past || k.seconds > 24*3600
		}
	}
	return first, past
}
