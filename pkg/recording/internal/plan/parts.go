package plan

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// PartContents are what a layout calls these columns.
var PartContents = [6]layout.Content{layout.HoldsYear, layout.HoldsMonth, layout.HoldsDay, layout.HoldsHour, layout.HoldsMinute, layout.HoldsSecond}

// TakePart notes a column that the layout says holds one part of a time;
// known is false if it says something else.
func (c *Clock) TakePart(holds layout.Content, number int) (known bool) {
	switch holds {
	case layout.HoldsMillis:
		c.Millis = number
	case layout.HoldsOffset:
		c.ZoneAt, c.UTC = number, true
	case layout.HoldsGPSWeek:
		c.Week, c.UTC = number, true
	case layout.HoldsTimeOfWeek:
		c.Within = number
	case layout.HoldsDayOfYear:
		c.DayOfYear = number
	default:
		i := slices.Index(PartContents[:], holds)
		if i < 0 {
			return false
		}
		c.Parts[i] = number
	}
	return true
}

// PartAt returns what a layout calls the column, "" if it is no part of a time.
func (c *Clock) PartAt(number int) layout.Content {
	switch number {
	case c.Millis:
		return layout.HoldsMillis
	case c.ZoneAt:
		return layout.HoldsOffset
	case c.Week:
		return layout.HoldsGPSWeek
	case c.Within:
		return layout.HoldsTimeOfWeek
	case c.DayOfYear:
		return layout.HoldsDayOfYear
	}
	if i := slices.Index(c.Parts[:], number); i >= 0 {
		return PartContents[i]
	}
	return ""
}

// PartLimits are the values that each can have.
var PartLimits = [6][2]float64{{1970, 2200}, {1, 12}, {1, 31}, {0, 24}, {0, 59}, {0, 61}}

// withBeside adds what stands beside a date and time.
func (c *Clock) withBeside(t float64, cells [][]byte) (float64, bool) {
	if c.Millis > 0 {
		if c.Millis > len(cells) {
			return 0, false
		}
		v, ok := parse.Number(cells[c.Millis-1], '.')
		if !ok || v < 0 || v >= 1000 {
			return 0, false
		}
		t += v / 1000
	}
	if c.ZoneAt > 0 {
		var z parse.ClockTime
		if c.ZoneAt > len(cells) || !z.Suffix(cells[c.ZoneAt-1], 0) {
			return 0, false
		}
		t -= float64(z.Zone)
	}
	return t, true
}

// Partwise reads a time from six columns, in seconds after the base.
func (c *Clock) Partwise(cells [][]byte, decimal byte) (float64, bool) {
	var v [6]float64
	for i, n := range c.Parts {
		if n > len(cells) {
			return 0, false
		}
		x, ok := parse.Number(cells[n-1], decimal)
		if !ok || x < PartLimits[i][0] || x > PartLimits[i][1] || (i < 5 && x != math.Trunc(x)) {
			return 0, false
		}
		v[i] = x
	}
	y, m, d := int64(v[0]), int64(v[1]), int64(v[2])
	if d > parse.DaysIn(y, m) {
		return 0, false
	}
	return float64(parse.DaysSinceEpoch(y, m, d)*86400-c.Base) + v[3]*3600 + v[4]*60 + v[5], true
}
