package detect

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// clockAlone decides between a time of day and a time since the start.
func (d *detector) clockAlone(given bool) error {
	c := &d.clock
	c.Format = layout.TimeOfDay
	reason := "no date in the file"
	words := heading.Words(d.header[c.Clock-1])
	first, past := d.clockRange(c.Clock)
	minutes, open, example := d.twoParts(c.Clock)
	if open && d.layout.TimeFormat == "" {
		return &account.AmbiguousError{File: d.src.Path, Line: d.first + 1, What: fmt.Sprintf("unit of the times in %s, such as %q", d.headerText(c.Clock), example),
			Readings: []account.Reading{
				{Meaning: "hours and minutes of the day", Setting: `time_format = "time of day"`},
				{Meaning: "hours and minutes since the start", Setting: `time_format = "elapsed clock"`},
				{Meaning: "minutes and seconds since the start", Setting: `time_format = "elapsed m:s"`}}}
	}
	switch {
	case d.layout.TimeFormat != "":
		c.Format, reason = d.layout.TimeFormat, "layout"
	case minutes:
		c.Format, reason = layout.ElapsedMinSec, "one colon and a fraction of a second"
	case past:
		c.Format, reason = layout.ElapsedClock, "it passes 24 h"
	case slices.Contains(words, "elapsed") || slices.Contains(words, "duration") || slices.Contains(words, "laufzeit"):
		c.Format, reason = layout.ElapsedClock, "by its name"
	case first < 60:
		c.Format, reason = layout.ElapsedClock, "it begins at zero"
		d.warnings.Add(estimate.ClockDoubtful, d.headerText(c.Clock), `times begin within a minute of 0:00 and are taken as time since the start; if they are times of day, set time_format = "time of day"`)
	}
	d.note("time_format", string(c.Format)+" in "+d.headerText(c.Clock), GivenOr(given, reason))
	if c.Format == layout.TimeOfDay && d.layout.Date == "" {
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
		k, ok := parse.Minutes(cells[number-1])
		if !ok {
			if cell.Classify(cells[number-1], d.decimal) == cell.Clock {
				return false, false, ""
			}
			continue
		}
		minutes = minutes || bytes.ContainsAny(cells[number-1], ".,")
		open = open || (example == "" && k.Seconds < 60)
		if example == "" || len(example) < 5 {
			example = string(cells[number-1])
		}
	}
	return minutes, open && !minutes, example
}

// dateInName matches a date in a file's name.
var dateInName = regexp.MustCompile(`(20[0-9]{2})([-_.]?)(0[1-9]|1[0-2])([-_.]?)([0-3][0-9])`)

// findDate looks for the date of a file of times in its preamble, then in its
// name.
func (d *detector) findDate() {
	y, m, day, where := d.preambleDate()
	if where == "" {
		y, m, day, where = d.nameDate()
	}
	if where == "" || m < 1 || m > 12 || day < 1 || day > parse.DaysIn(y, m) {
		return
	}
	d.layout.Date = fmt.Sprintf("%04d-%02d-%02d", y, m, day)
	d.note("date", d.layout.Date, where)
	d.warnings.Add(estimate.ClockDoubtful, d.src.Name(), fmt.Sprintf("times without a date: %s is taken from %s", d.layout.Date, where))
}

// preambleDate returns the first date before the rows that can be read in one
// way only, and where it stands; where is empty if there is none.
func (d *detector) preambleDate() (y, m, day int64, where string) {
	for _, l := range d.sample.lines[:d.first] {
		for i := range l.text {
			if i > 0 && (l.text[i-1]-'0' <= 9 || l.text[i-1]|0x20 >= 'a') {
				continue
			}
			p, n, ok := parse.SplitDate(l.text[i:])
			if !ok || n < 8 || (i+n < len(l.text) && l.text[i+n]-'0' <= 9) {
				continue
			}
			v := p.ValidOrders()
			if p.FirstDigits == 4 && len(v) > 0 || p.Month > 0 && len(v) > 0 || len(v) == 1 {
				y, m, day, _ = p.Civil(v[0])
				return y, m, day, fmt.Sprintf("line %d", l.number)
			}
		}
	}
	return 0, 0, 0, ""
}

// nameDate returns the date in the file's name.
func (d *detector) nameDate() (y, m, day int64, where string) {
	f := dateInName.FindStringSubmatch(filepath.Base(d.src.Path))
	if f == nil || f[2] != f[4] {
		return 0, 0, 0, ""
	}
	y, _ = strconv.ParseInt(f[1], 10, 64)
	m, _ = strconv.ParseInt(f[3], 10, 64)
	day, _ = strconv.ParseInt(f[5], 10, 64)
	return y, m, day, "the file's name"
}

// clockRange returns the first time in seconds and whether any passes 24 h.
func (d *detector) clockRange(number int) (first float64, past bool) {
	first = math.NaN()
	for _, l := range d.sample.lines[d.first:] {
		cells := d.cellsOf(l.text)
		if len(cells) < number {
			continue
		}
		if k, ok := parse.Clock(cells[number-1], true); ok {
			if math.IsNaN(first) {
				first = float64(k.Seconds)
			}
			past = past || k.Seconds > 24*3600
		}
	}
	return first, past
}
