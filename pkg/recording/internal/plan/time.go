package plan

import (
	"bytes"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// TimeOf reads the time of a row, in seconds after the plan's base.
func (r *Parser) TimeOf(cells [][]byte) (float64, bool) {
	c := &r.Plan.Clock
	switch {
	case c.Format == layout.ByInterval:
		return 0, true // counted when blocks are put in order
	case c.Value > 0:
		if c.Value > len(cells) {
			return 0, false
		}
		v, ok := parse.Number(cells[c.Value-1], r.Plan.Decimal)
		if !ok {
			return 0, false
		}
		t := c.Seconds(v) - float64(c.Base)
		return t, math.Abs(t) < 1e11
	case c.Stamp > 0:
		if c.Stamp > len(cells) {
			return 0, false
		}
		date, clock, ok := parse.SplitStamp(cells[c.Stamp-1])
		if !ok {
			return 0, false
		}
		return r.stampTime(date, clock, nil)
	}
	switch {
	case c.Week > 0:
		return r.weekly(cells)
	case c.DayOfYear > 0:
		return r.ordinal(cells)
	case c.Parts[0] > 0:
		return c.Partwise(cells, r.Plan.Decimal)
	}
	return r.ofColumns(cells)
}

// ofColumns reads a time of day in a column of its own, with the date in
// another where there is one.
func (r *Parser) ofColumns(cells [][]byte) (float64, bool) {
	c := &r.Plan.Clock
	if c.Clock > len(cells) || c.Date > len(cells) {
		return 0, false
	}
	var half []byte
	if c.HalfDay > 0 && c.HalfDay <= len(cells) {
		half = cells[c.HalfDay-1]
	}
	if c.Format == layout.ElapsedMinSec {
		t, ok := parse.Minutes(cells[c.Clock-1])
		return r.clockSeconds(t, nil), ok
	}
	if c.Date == 0 {
		t, ok := r.clock(cells[c.Clock-1], c.Format == layout.ElapsedClock)
		if c.WholeMillis {
			t = t.WholeMillis()
		}
		return r.clockSeconds(t, half), ok && (c.Unpadded || !t.Unpadded)
	}
	t, ok := r.stampTime(cells[c.Date-1], cells[c.Clock-1], half)
	if ok && (c.Millis > 0 || c.ZoneAt > 0) {
		return c.withBeside(t, cells)
	}
	return t, ok
}

// stampTime reads a date and a time of day.
func (r *Parser) stampTime(date, clock, half []byte) (float64, bool) {
	if !bytes.Equal(date, r.date) || len(r.date) == 0 {
		days, ok := parse.Date(date, r.Plan.Clock.Order)
		if !ok {
			return 0, false
		}
		r.date, r.days = append(r.date[:0], date...), days
	}
	t, ok := r.clock(clock, false)
	if !ok || t.Unpadded && !r.Plan.Clock.Unpadded {
		return 0, false
	}
	if r.Plan.Clock.WholeMillis {
		t = t.WholeMillis()
	}
	t.Seconds += r.days*86400 - r.Plan.Clock.Base - t.Zone
	return r.clockSeconds(t, half), true
}

// clock reads a time of day, or since the start where it may be long.
func (r *Parser) clock(b []byte, long bool) (parse.ClockTime, bool) {
	if r.Plan.Clock.Compact {
		return parse.CompactClock(b)
	}
	return parse.Clock(b, long)
}

func (r *Parser) clockSeconds(t parse.ClockTime, half []byte) float64 {
	if len(half) > 0 {
		day := t.Seconds - t.Seconds%86400
		t.HalfDay(half[0], (t.Seconds-day)/3600)
	}
	return float64(t.Seconds) + float64(t.Nanos)/1e9
}
