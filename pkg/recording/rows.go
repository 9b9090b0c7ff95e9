package recording

import (
	"bytes"
	"fmt"
	"math"
	"strings"
)

// plan is all that is needed to read the rows of a text file. It is shared by
// the goroutines that do so and does not change.
type plan struct {
	delim, decimal byte
	fields         int
	first          int             // number of lines before the first row
	header         map[string]bool // those lines, to know them when they return
	names          []string        // of the columns, cleaned
	timeAt         int             // number of the time column, where it has a name
	clock          clockPlan
	columns        []planColumn
	sentinels      map[string]bool
	fullRows       bool // see detector.fullRows
}

// planColumn is what is to be read from one column of the file.
type planColumn struct {
	head
	unitAt int // number of the column that holds its unit, or 0
	signAt int // number of the column that holds N, S, E or W, or 0
	// longest is the length beyond which a number is two that lost what stood
	// between them.
	longest int
	// low and high, in the file's unit, are where values stop being values.
	low, high *float64
	bare      bool // named like a bare logger input, or not at all
}

// rowParser reads rows by a plan. It keeps buffers and a date between calls,
// which only save time.
type rowParser struct {
	plan     *plan
	cells    [][]byte
	values   []float64
	units    map[string]*unit
	date     []byte // the last date read, and its day
	days     int64
	sampling bool
}

func newRowParser(p *plan) *rowParser {
	return &rowParser{plan: p, values: make([]float64, len(p.columns)), units: map[string]*unit{}}
}

// split cuts a line into trimmed cells.
func (r *rowParser) split(line []byte) [][]byte {
	r.cells = splitCells(line, r.plan.delim, r.cells)
	for i, c := range r.cells {
		r.cells[i] = trim(c)
	}
	return r.cells
}

// timeOf reads the time of a row, in seconds after the plan's base.
func (r *rowParser) timeOf(cells [][]byte) (float64, bool) {
	c := &r.plan.clock
	switch {
	case c.format == ByInterval:
		return 0, true // counted when blocks are put in order
	case c.value > 0:
		if c.value > len(cells) {
			return 0, false
		}
		v, ok := parseNumber(cells[c.value-1], r.plan.decimal)
		if !ok {
			return 0, false
		}
		t := c.seconds(v) - float64(c.base)
		return t, math.Abs(t) < 1e11
	case c.stamp > 0:
		if c.stamp > len(cells) {
			return 0, false
		}
		date, clock, ok := splitStamp(cells[c.stamp-1])
		if !ok {
			return 0, false
		}
		return r.stampTime(date, clock, nil)
	}
	if c.parts[0] > 0 {
		return c.partwise(cells, r.plan.decimal)
	}
	if c.clock > len(cells) || c.date > len(cells) {
		return 0, false
	}
	var half []byte
	if c.halfDay > 0 && c.halfDay <= len(cells) {
		half = cells[c.halfDay-1]
	}
	if c.format == ElapsedMinSec {
		t, ok := parseMinutes(cells[c.clock-1])
		return r.clockSeconds(t, nil), ok
	}
	if c.date == 0 {
		t, ok := parseClock(cells[c.clock-1], c.format == ElapsedClock)
		return r.clockSeconds(t, half), ok
	}
	t, ok := r.stampTime(cells[c.date-1], cells[c.clock-1], half)
	if ok && (c.millis > 0 || c.zoneAt > 0) {
		return c.beside(t, cells)
	}
	return t, ok
}

// stampTime reads a date and a time of day.
func (r *rowParser) stampTime(date, clock, half []byte) (float64, bool) {
	if !bytes.Equal(date, r.date) || len(r.date) == 0 {
		days, ok := parseDate(date, r.plan.clock.order)
		if !ok {
			return 0, false
		}
		r.date, r.days = append(r.date[:0], date...), days
	}
	t, ok := clockTime{}, false
	if r.plan.clock.compact {
		t, ok = compactClock(clock)
	} else {
		t, ok = parseClock(clock, false)
	}
	if !ok {
		return 0, false
	}
	t.seconds += r.days*86400 - r.plan.clock.base - t.zone
	return r.clockSeconds(t, half), true
}

func (r *rowParser) clockSeconds(t clockTime, half []byte) float64 {
	if len(half) > 0 {
		day := t.seconds - t.seconds%86400
		t.halfDay(half[0], (t.seconds-day)/3600)
	}
	return float64(t.seconds) + float64(t.nanos)/1e9
}

// tally counts cells without a usable value, for one reason.
type tally struct {
	reason string
	word   string // the cell that said so, where that matters
	cells  int
	line   int
}

// tallies are those of one column. There are few, so a list will do.
type tallies []tally

// maxReasons limits how many words of one column are told apart.
const maxReasons = 12

func (t *tallies) count(reason string, word []byte, line int) {
	for i := range *t {
		if (*t)[i].reason == reason && (*t)[i].word == string(word) {
			(*t)[i].cells++
			return
		}
	}
	if len(*t) >= maxReasons && word != nil {
		t.count(reason, nil, line)
		return
	}
	*t = append(*t, tally{reason, string(word), 1, line})
}

// Reasons for missing cells.
const (
	missEmpty  = "empty"
	missWord   = "no reading"
	missText   = "not a number"
	missGlued  = "more digits than a reading has: two numbers run together?"
	missNumber = "number that stands for no reading"
	missRange  = "outside what can be measured"
	missLimit  = "at or beyond the layout's limit"
	missUnit   = "unit not known"
	missFrozen = "frozen"
	missSpike  = "spike of one sample"
	missNoFix  = "position 0°, 0°: no fix"
)

// value reads one cell. Where it holds no usable value the result is NaN and
// the reason is counted.
func (r *rowParser) value(c *planColumn, cells [][]byte, t *tallies, line int) float64 {
	b := cells[c.number-1]
	if len(b) == 0 {
		t.count(missEmpty, nil, line)
		return math.NaN()
	}
	u := c.unit
	v, ok := parseNumber(b, r.plan.decimal)
	if ok && len(b) > 20 && len(b) > c.longest && c.longest > 0 {
		t.count(missGlued, b[:20], line)
		return math.NaN()
	}
	if !ok {
		var rest []byte
		v, rest, ok = numberPrefix(b, r.plan.decimal)
		switch {
		case isNoValueWord(b) || r.plan.sentinels[strings.ToLower(string(b))]:
			t.count(missWord, b, line)
			return math.NaN()
		case ok && c.unit.content == HoldsAngle && (string(rest) == "S" || string(rest) == "W"):
			v = -v
		case ok && c.unit.content == HoldsAngle && (string(rest) == "N" || string(rest) == "E"):
		case ok:
			u = r.unitNamed(rest, c)
		}
		if c.unit.content == HoldsAngle && (!ok || u == nil) {
			if a, whole := parseDegrees(b, r.plan.decimal); whole {
				v, u, ok = a, degree, true
			}
		}
		if !ok || u == nil {
			t.count(missText, b[:min(len(b), 20)], line)
			return math.NaN()
		}
	}
	if len(r.plan.sentinels) > 0 && r.plan.sentinels[strings.ToLower(string(b))] {
		t.count(missWord, b, line)
		return math.NaN()
	}
	if math.Abs(v) >= 1e30 || (c.content == HoldsTemperature && isSentinelNumber(v)) {
		t.count(missNumber, b[:min(len(b), 20)], line)
		return math.NaN()
	}
	if c.unitAt > 0 && c.unitAt <= len(cells) && len(cells[c.unitAt-1]) > 0 {
		if u = r.unitNamed(cells[c.unitAt-1], c); u == nil {
			t.count(missUnit, cells[c.unitAt-1][:min(20, len(cells[c.unitAt-1]))], line)
			return math.NaN()
		}
	}
	if (c.low != nil && v <= *c.low) || (c.high != nil && v >= *c.high) {
		t.count(missLimit, nil, line)
		return math.NaN()
	}
	if c.signAt > 0 && c.signAt <= len(cells) {
		if s := cells[c.signAt-1]; len(s) > 0 && (s[0]|0x20 == 's' || s[0]|0x20 == 'w') {
			v = -v
		}
	}
	si := u.si(v)
	if c.content == HoldsDifference {
		si = v * u.factor
	}
	if !measurable(c.content, si) {
		t.count(missRange, b[:min(len(b), 20)], line)
		return math.NaN()
	}
	return si
}

// unitNamed looks up a unit written in a cell; nil if it is none that the
// column can be in.
func (r *rowParser) unitNamed(b []byte, c *planColumn) *unit {
	u, seen := r.units[string(b)]
	if !seen {
		u, _ = lookUpUnit(decodeText(b))
		if len(r.units) < 100 {
			r.units[string(b)] = u
		}
	}
	if u == nil || (u != c.unit && u.content != c.unit.content && !(c.content == HoldsHumidity && u.fits(c.content))) {
		return nil
	}
	return u
}

// measurable reports whether an SI value can have been measured. Limits: the
// range of type K thermocouples, −200 to 1372 °C, where also a broken sensor's
// reading comes to rest; the globe; a car.
func measurable(c Content, v float64) bool {
	switch c {
	case HoldsTemperature:
		return v > 73.15 && v < 1645.15
	case HoldsSpeed:
		return v >= 0 && v < 150
	case HoldsLatitude:
		return math.Abs(v) <= math.Pi/2+1e-9
	case HoldsLongitude:
		return math.Abs(v) <= math.Pi+1e-9
	case HoldsHumidity:
		return v >= 0 && v <= 1.05
	case HoldsLength:
		return math.Abs(v) < 1e8
	}
	return true
}

// outcome is what became of a line.
type outcome int

const (
	rowRead outcome = iota
	rowHeader
	rowBlank
	rowRejected
	rowShort
	rowForeign // a header with other names
)

// read reads one line. The values are in r.values and the time is returned
// where the outcome is rowRead or rowShort; a rowRejected has a reason.
func (r *rowParser) read(line []byte, n int, missing []tallies) (t float64, o outcome, reason string) {
	p := r.plan
	raw := line
	line = bytes.TrimRight(line, "\r")
	if len(line) > 0 && (line[0] == 0 || line[len(line)-1] == 0 || line[len(line)-1] == 0x1a) {
		line = bytes.Trim(line, "\x00\x1a")
		if len(bytes.TrimSpace(line)) == 0 {
			return 0, rowRejected, "NUL bytes, as a power cut leaves them"
		}
	}
	if len(line) > maxLine {
		return 0, rowRejected, fmt.Sprintf("longer than %d bytes", maxLine)
	}
	cells := r.split(line)
	if len(cells) < p.fields || len(cells) > p.fields {
		k := filled(cells)
		switch {
		case k == 0:
			return 0, rowBlank, ""
		case p.header[string(bytes.TrimSpace(line))]:
			return 0, rowHeader, ""
		case p.nameLine(cells) != notNames:
			return 0, p.nameLine(cells), "header with other columns"
		case len(cells) < p.fields:
			t, ok := r.timeOf(cells)
			if !ok {
				return 0, rowRejected, fmt.Sprintf("%d of %d cells, and no time", len(cells), p.fields)
			}
			return t, rowShort, fmt.Sprintf("%d of %d cells, so columns are shifted left", len(cells), p.fields)
		case k > p.fields:
			return 0, rowRejected, fmt.Sprintf("%d cells where %d are expected", k, p.fields)
		}
	}
	t, ok := r.timeOf(cells)
	if !ok {
		switch {
		case filled(cells) == 0:
			return 0, rowBlank, ""
		case p.header[string(bytes.TrimSpace(line))]:
			return 0, rowHeader, ""
		case p.nameLine(cells) != notNames:
			return 0, p.nameLine(cells), "header with other columns"
		case bytes.IndexByte(raw, 0) >= 0:
			return 0, rowRejected, "NUL bytes in the line"
		}
		return 0, rowRejected, "no time that can be read"
	}
	for i := range p.columns {
		r.values[i] = r.value(&p.columns[i], cells, &missing[i], n)
	}
	return t, rowRead, ""
}
