package recording

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// partNames are the names of columns that hold one part of a date each.
var partNames = [6][]string{{"year", "jahr"}, {"month", "monat"}, {"day", "tag"}, {"hour", "stunde"}, {"minute", "min"}, {"second", "sec", "sekunde"}}

// partContents are what a layout calls these columns.
var partContents = [6]Content{HoldsYear, HoldsMonth, HoldsDay, HoldsHour, HoldsMinute, HoldsSecond}

// takePart notes a column that the layout says holds one part of a time;
// known is false if it says something else.
func (c *clockPlan) takePart(holds Content, number int) (known bool) {
	switch holds {
	case HoldsMillis:
		c.millis = number
	case HoldsOffset:
		c.zoneAt, c.utc = number, true
	default:
		i := slices.Index(partContents[:], holds)
		if i < 0 {
			return false
		}
		c.parts[i] = number
	}
	return true
}

// checkParts refuses a layout whose parts of a time are not complete.
func (d *detector) checkParts() error {
	c := &d.clock
	var missing []string
	for i, n := range c.parts {
		if n == 0 {
			missing = append(missing, fmt.Sprintf("%q", string(partContents[i])))
		}
	}
	switch {
	case len(missing) > 0 && len(missing) < len(c.parts):
		return d.src.fail("has a layout with some parts of the time in columns of their own, but no column that holds "+strings.Join(missing, ", "),
			"give each of the six a column under [[columns]]", ErrNoTime)
	case (c.millis > 0 || c.zoneAt > 0) && (c.date == 0 || c.clock == 0):
		return d.src.fail("has a layout with milliseconds or an offset from UTC in a column of its own, but no date and no time of day in columns of theirs",
			`say which columns hold them, with holds = "date" and holds = "time" under [[columns]]`, ErrNoTime)
	}
	return nil
}

// partAt returns what a layout calls the column, "" if it is no part of a time.
func (c *clockPlan) partAt(number int) Content {
	switch number {
	case c.millis:
		return HoldsMillis
	case c.zoneAt:
		return HoldsOffset
	}
	if i := slices.Index(c.parts[:], number); i >= 0 {
		return partContents[i]
	}
	return ""
}

// partLimits are the values that each can have.
var partLimits = [6][2]float64{{1970, 2200}, {1, 12}, {1, 31}, {0, 24}, {0, 59}, {0, 61}}

// pickParts finds a time that is spread over six columns of numbers.
func (d *detector) pickParts() {
	var parts [6]int
	for n, e := range d.evidence {
		words := nameWords(d.header[n])
		if len(words) == 0 || e.kind != cellNumber || len(e.values) == 0 {
			continue
		}
		for i, names := range partNames {
			fits := slices.Contains(names, strings.TrimSuffix(words[0], "s")) &&
				slices.Min(e.values) >= partLimits[i][0] && slices.Max(e.values) <= partLimits[i][1]
			if parts[i] == 0 && fits {
				parts[i] = n + 1
				break
			}
		}
	}
	if !slices.Contains(parts[:], 0) {
		d.clock.parts = parts
		d.clock.stamp, d.clock.date, d.clock.clock, d.clock.halfDay = 0, 0, 0, 0
	}
}

// pickBeside finds milliseconds and the offset from UTC in columns beside a
// date and a time.
func (d *detector) pickBeside() {
	c := &d.clock
	if c.date == 0 || c.clock == 0 {
		return
	}
	for n, e := range d.evidence {
		words := nameWords(d.header[n])
		has := func(names ...string) bool {
			return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(names, w) })
		}
		switch {
		case e.kind == cellNumber && has("ms", "msec", "millis", "millisecond", "milliseconds") && !e.fraction &&
			slices.Min(e.values) >= 0 && slices.Max(e.values) <= 999 && d.wholeClocks():
			c.millis = n + 1
			d.note("time", "milliseconds in "+d.headerText(n+1), "by its name")
		case has("zone", "offset", "tz", "timezone") && zoneCell([]byte(e.firstText)):
			c.zoneAt, c.utc = n+1, true
			d.note("zone", "offset from UTC in "+d.headerText(n+1), "by its name")
		}
	}
}

// wholeClocks reports whether no time of day has a fraction of its own.
func (d *detector) wholeClocks() bool {
	for _, l := range d.sample.lines[d.first:] {
		cells := d.cellsOf(l.text)
		if len(cells) < d.clock.clock {
			continue
		}
		if k, ok := parseClock(cells[d.clock.clock-1], false); ok && k.nanos != 0 {
			return false
		}
	}
	return true
}

func zoneCell(b []byte) bool {
	var t clockTime
	return len(b) > 0 && (b[0] == '+' || b[0] == '-' || b[0] == 'Z') && t.suffix(b, 0) && t.hasZone
}

// beside adds what stands beside a date and time.
func (c *clockPlan) beside(t float64, cells [][]byte) (float64, bool) {
	if c.millis > 0 {
		if c.millis > len(cells) {
			return 0, false
		}
		v, ok := parseNumber(cells[c.millis-1], '.')
		if !ok || v < 0 || v >= 1000 {
			return 0, false
		}
		t += v / 1000
	}
	if c.zoneAt > 0 {
		var z clockTime
		if c.zoneAt > len(cells) || !z.suffix(cells[c.zoneAt-1], 0) {
			return 0, false
		}
		t -= float64(z.zone)
	}
	return t, true
}

// partwise reads a time from six columns, in seconds after the base.
func (c *clockPlan) partwise(cells [][]byte, decimal byte) (float64, bool) {
	var v [6]float64
	for i, n := range c.parts {
		if n > len(cells) {
			return 0, false
		}
		x, ok := parseNumber(cells[n-1], decimal)
		if !ok || x < partLimits[i][0] || x > partLimits[i][1] || (i < 5 && x != math.Trunc(x)) {
			return 0, false
		}
		v[i] = x
	}
	y, m, d := int64(v[0]), int64(v[1]), int64(v[2])
	if d > daysIn(y, m) {
		return 0, false
	}
	return float64(daysSinceEpoch(y, m, d)*86400-c.base) + v[3]*3600 + v[4]*60 + v[5], true
}

// basePartwise lets times count from midnight of the first date.
func (d *detector) basePartwise() error {
	for _, l := range d.sample.lines[d.first:] {
		if t, ok := d.clock.partwise(d.cellsOf(l.text), d.decimal); ok {
			d.clock.base = int64(math.Floor(t/86400)) * 86400
			return nil
		}
	}
	return d.src.fail(fmt.Sprintf("has no date that exists in its columns %v", d.clock.parts), "see which columns hold the date", ErrNoTime)
}
