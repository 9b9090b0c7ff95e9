package detect

import (
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
)

// pickWeek finds a time that is given as a week of the GPS and the time within
// it, in seconds or milliseconds.
func (d *detector) pickWeek() {
	c := &d.clock
	week, within := 0, 0
	for n, e := range d.Evidence {
		if e.Kind != cell.Numeric || len(e.Values) == 0 {
			continue
		}
		words := heading.Words(d.Header[n])
		name := strings.Join(words, " ")
		lo, hi := slices.Min(e.Values), slices.Max(e.Values)
		switch {
		case week == 0 && namesWeek(name) && lo >= 500 && hi < 5000 && !e.Fractional():
			week = n + 1
		case within == 0 && namesTimeOfWeek(words, name) && lo >= 0 && hi <= 604800e3:
			within = n + 1
		}
	}
	if week == 0 || within == 0 {
		return
	}
	c.Week, c.Within = week, within
	c.Stamp, c.Date, c.Clock, c.HalfDay = 0, 0, 0, 0
}

func namesWeek(name string) bool {
	return name == "week" || name == "wn" || strings.Contains(name, "gps week") || strings.Contains(name, "gpsweek")
}

func namesTimeOfWeek(words []string, name string) bool {
	in := func(short string) bool { return slices.Contains(words, short) }
	part := func(long string) bool { return strings.Contains(name, long) }
	return in("tow") || in("itow") || in("sow") ||
		part("time of week") || part("seconds of week") || part("timeofweek") || part("i tow")
}

// weekFactor returns what a time of week counts in, in seconds: by the layout,
// by the unit in its name, or by its size and steps.
func (d *detector) weekFactor() float64 {
	n := d.clock.Within
	if _, _, u := d.timeUnit(n); u != nil {
		return u.ToSI(1)
	}
	if e := d.Evidence[n-1]; len(e.Values) > 0 && (slices.Max(e.Values) > 604800 || numbers.MedianStep(e.Values[:e.Head]) >= 50 && !e.Fraction) {
		return 1e-3
	}
	return 1
}

// secondsOfDay returns the number of a column of seconds since midnight, 0 where
// there is none.
func (d *detector) secondsOfDay() int {
	for n, e := range d.Evidence {
		name := strings.Join(heading.Words(d.Header[n]), " ")
		if e.Kind == cell.Numeric && len(e.Values) > 0 && (strings.HasPrefix(name, "seconds of day") || strings.HasPrefix(name, "second of day") || strings.HasPrefix(name, "sod")) &&
			slices.Min(e.Values) >= 0 && slices.Max(e.Values) <= 86401 {
			return n + 1
		}
	}
	return 0
}

// pickDayOfYear finds a year and a day of it in columns of their own, with a
// time of day beside them or hour, minute and second.
func (d *detector) pickDayOfYear() {
	var parts [5]int // year, day of year, hour, minute, second
	limits := [5][2]float64{{1970, 2200}, {1, 366}, {0, 24}, {0, 59}, {0, 61}}
	for n, e := range d.Evidence {
		words := heading.Words(d.Header[n])
		if e.Kind != cell.Numeric || len(e.Values) == 0 || len(words) == 0 {
			continue
		}
		for i := range parts {
			if heading.YearPart(i, words) && parts[i] == 0 && slices.Min(e.Values) >= limits[i][0] && slices.Max(e.Values) <= limits[i][1] {
				parts[i] = n + 1
				break
			}
		}
	}
	if parts[0] == 0 || parts[1] == 0 {
		return
	}
	c, seconds := &d.clock, d.secondsOfDay()
	switch {
	case c.Clock > 0:
		c.Parts = [6]int{parts[0]}
	case parts[2] > 0 && parts[3] > 0:
		c.Parts = [6]int{parts[0], 0, 0, parts[2], parts[3], parts[4]}
	case seconds > 0:
		c.Parts = [6]int{parts[0], 0, 0, 0, 0, seconds}
	default:
		return
	}
	c.DayOfYear = parts[1]
	c.Stamp, c.Date, c.HalfDay = 0, 0, 0
}
