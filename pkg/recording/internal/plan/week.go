package plan

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

// weekZero is 1980-01-06 00:00 UTC, from which weeks of the GPS count, in
// seconds after 1970 (IS-GPS-200, 3.3.4).
const weekZero = 315964800

// leapSeconds are those by which the time of the GPS is ahead of UTC from an
// instant on (IERS Bulletin C; the last in force since 2017-01-01).
var leapSeconds = []struct {
	from  float64 // seconds after 1970
	ahead float64
}{{1483228800, 18}, {1435708800, 17}, {1341100800, 16}, {1230768000, 15}, {1136073600, 14}, {915148800, 13}, {867715200, 12}, {820454400, 11}, {773020800, 10}}

// WeekTime turns a week of the GPS and the seconds within it into seconds after
// 1970, UTC.
func WeekTime(week, within float64) float64 {
	t := weekZero + week*7*86400 + within
	for _, l := range leapSeconds {
		if t-l.ahead >= l.from {
			return t - l.ahead
		}
	}
	return t - 9
}

// weekly reads a time from its week and the time within.
func (r *Parser) weekly(cells [][]byte) (float64, bool) {
	c := &r.Plan.Clock
	if c.Week > len(cells) || c.Within > len(cells) {
		return 0, false
	}
	week, ok := parse.Number(cells[c.Week-1], r.Plan.Decimal)
	within, ok2 := parse.Number(cells[c.Within-1], r.Plan.Decimal)
	if !ok || !ok2 || week != math.Trunc(week) || week < 0 || week > 10000 || within < 0 || within*c.Factor > 7*86400 {
		return 0, false
	}
	return WeekTime(week, within*c.Factor) - float64(c.Base), true
}

// numberIn reads the number in a column, 0 where there is no such column.
func (r *Parser) numberIn(cells [][]byte, n int) (float64, bool) {
	switch {
	case n == 0:
		return 0, true
	case n > len(cells):
		return 0, false
	}
	return parse.Number(cells[n-1], r.Plan.Decimal)
}

// ordinal reads a time from a year, the day of it and a time of day.
func (r *Parser) ordinal(cells [][]byte) (float64, bool) {
	c := &r.Plan.Clock
	year, ok := r.numberIn(cells, c.Parts[0])
	day, ok2 := r.numberIn(cells, c.DayOfYear)
	if !ok || !ok2 || year < 1970 || year > 2200 || day < 1 || day >= 367 || year != math.Trunc(year) {
		return 0, false
	}
	t := float64(parse.DaysSinceEpoch(int64(year), 1, 1)*86400-c.Base) + (day-1)*86400
	if c.Clock > 0 {
		if c.Clock > len(cells) {
			return 0, false
		}
		k, ok := parse.Clock(cells[c.Clock-1], false)
		return t + float64(k.Seconds-k.Zone) + float64(k.Nanos)/1e9, ok
	}
	h, ok := r.numberIn(cells, c.Parts[3])
	m, ok2 := r.numberIn(cells, c.Parts[4])
	s, ok3 := r.numberIn(cells, c.Parts[5])
	most := 61.0
	if c.Parts[3] == 0 { // since midnight
		most = 86401
	}
	ok = ok && ok2 && ok3 && h >= 0 && h <= 24 && m >= 0 && m < 60 && s >= 0 && s <= most
	return t + h*3600 + m*60 + s, ok
}
