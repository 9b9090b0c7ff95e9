package detect

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/dates"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// clockAlone decides between a time of day and a time since the start.
func (d *detector) clockAlone(given bool) error {
	c := &d.clock
	c.Format = layout.TimeOfDay
	reason := "no date in the file"
	words := heading.Words(d.Header[c.Clock-1])
	first, past := d.clockRange(c.Clock)
	minutes, open, example := d.twoParts(c.Clock)
	if open && d.Layout.TimeFormat == "" {
		return &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1, What: fmt.Sprintf("unit of the times in %s, such as %q", d.HeaderText(c.Clock), example),
			Readings: []account.Reading{
				{Meaning: "hours and minutes of the day", Setting: `time_format = "time of day"`},
				{Meaning: "hours and minutes since the start", Setting: `time_format = "elapsed clock"`},
				{Meaning: "minutes and seconds since the start", Setting: `time_format = "elapsed m:s"`}}}
	}
	switch {
	case d.Layout.TimeFormat != "":
		c.Format, reason = d.Layout.TimeFormat, "layout"
	case minutes:
		c.Format, reason = layout.ElapsedMinSec, "one colon and a fraction of a second"
	case past:
		c.Format, reason = layout.ElapsedClock, "it passes 24 h"
	case slices.Contains(words, "elapsed") || slices.Contains(words, "duration") || slices.Contains(words, "laufzeit"):
		c.Format, reason = layout.ElapsedClock, "by its name"
	case first < 60:
		c.Format, reason = layout.ElapsedClock, "it begins at zero"
		d.warnings.Add(estimate.ClockDoubtful, d.HeaderText(c.Clock), `times begin within a minute of 0:00 and are taken as time since the start; if they are times of day, set time_format = "time of day"`)
	}
	d.Note("time_format", string(c.Format)+" in "+d.HeaderText(c.Clock), grid.GivenOr(given, reason))
	if c.Format == layout.TimeOfDay && d.Layout.Date == "" {
		d.findDate()
	}
	return nil
}

// twoParts looks at times of one colon only. With a fraction they are minutes
// and seconds; without one, and beginning at zero, they may be hours and
// minutes as well.
func (d *detector) twoParts(number int) (minutes, open bool, example string) {
	for _, l := range d.Sample.Lines[d.First:] {
		cells := d.CellsOf(l.Text)
		if len(cells) < number {
			continue
		}
		k, ok := parse.Minutes(cells[number-1])
		if !ok {
			if cell.Classify(cells[number-1], d.Decimal) == cell.Clock {
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

// findDate looks for the date of a file of times in its preamble, then in its
// name.
func (d *detector) findDate() {
	y, m, day, where := d.preambleDate()
	if where == "" {
		y, m, day, where = dates.InName(d.Src.Path)
	}
	if where == "" || m < 1 || m > 12 || day < 1 || day > parse.DaysIn(y, m) {
		return
	}
	d.Layout.Date = fmt.Sprintf("%04d-%02d-%02d", y, m, day)
	d.Note("date", d.Layout.Date, where)
	d.warnings.Add(estimate.ClockDoubtful, d.Src.Name(), fmt.Sprintf("times without a date: %s is taken from %s", d.Layout.Date, where))
}

// preambleDate returns the first date before the rows that can be read in one
// way only, and where it stands; where is empty if there is none.
func (d *detector) preambleDate() (y, m, day int64, where string) {
	for _, l := range d.Sample.Lines[:d.First] {
		for i := range l.Text {
			if i > 0 && (l.Text[i-1]-'0' <= 9 || l.Text[i-1]|0x20 >= 'a') {
				continue
			}
			p, n, ok := parse.SplitDate(l.Text[i:])
			if !ok || n < 8 || (i+n < len(l.Text) && l.Text[i+n]-'0' <= 9) {
				continue
			}
			v := p.ValidOrders()
			if p.FirstDigits == 4 && len(v) > 0 || p.Month > 0 && len(v) > 0 || len(v) == 1 {
				y, m, day, _ = p.Civil(v[0])
				return y, m, day, fmt.Sprintf("line %d", l.Number)
			}
		}
	}
	return 0, 0, 0, ""
}

// clockRange returns the first time in seconds and whether any passes 24 h.
func (d *detector) clockRange(number int) (first float64, past bool) {
	first = math.NaN()
	for _, l := range d.Sample.Lines[d.First:] {
		cells := d.CellsOf(l.Text)
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
