package recording

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
)

func equalFold(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

// findNumericTime finds a time column of numbers: by its name, by its size, or
// because it never falls.
func (d *detector) findNumericTime(given bool) error {
	c := &d.clock
	reason := "layout"
	if !given {
		c.value, reason = d.pickNumericTime()
		if c.value == 0 {
			return d.noTime()
		}
	}
	e := d.evidence[c.value-1]
	name, foundUnit, u := cutUnit(d.header[c.value-1])
	if l, ok := d.layoutFor(c.value); ok && l.Unit != "" {
		u, _ = lookUpUnit(l.Unit)
		foundUnit = l.Unit
	}
	middle := median(e.values)
	switch {
	case d.layout.TimeFormat != "":
		c.format = d.layout.TimeFormat
		if timeFactors[c.format] == 0 {
			return d.src.fail(fmt.Sprintf("has numbers for times (%s), which time_format = %q does not fit", d.headerText(c.value), c.format),
				`set time_format to "elapsed s", "unix s" or another of numbers`, ErrNoTime)
		}
		reason = "layout"
	case middle >= 9.4e8 && middle < 4.2e9 && !strings.Contains(strings.ToLower(name), "elapsed"):
		c.format = UnixSeconds // 2000 to 2100
	case middle >= 9.4e11 && middle < 4.2e12:
		c.format = UnixMilliseconds
	case middle >= 9.4e14 && middle < 4.2e15:
		c.format = UnixMicroseconds
	case middle >= 9.4e17 && middle < 4.2e18:
		c.format = UnixNanoseconds
	case middle > 36525 && middle < 73050 && e.fraction && medianStep(e.values[:e.head]) < 0.05 && (u == nil || u.content != HoldsTime):
		c.format = SpreadsheetDays // 2000 to 2100
	case u != nil && u.content == HoldsTime:
		c.format = map[string]TimeFormat{"s": ElapsedSeconds, "ms": ElapsedMilliseconds, "min": ElapsedMinutes, "h": ElapsedHours}[u.name]
		if c.format == "" {
			return d.src.fail(fmt.Sprintf("counts time in %s (%s), which is not read here", u.name, d.headerText(c.value)), "export it in seconds or milliseconds", ErrNoTime)
		}
		reason = "unit " + foundUnit
	case slices.Contains(nameWords(name), "ms") || slices.Contains(nameWords(name), "millis"):
		c.format = ElapsedMilliseconds
	default:
		if step := medianStep(e.values[:e.head]); step > 60 {
			return &AmbiguousError{File: d.src.path, Line: d.first + 1,
				What: fmt.Sprintf("unit of the times in %s, which step by %g", d.headerText(c.value), step),
				Readings: []Reading{
					{fmt.Sprintf("milliseconds: a row every %g s", step/1000), `time_format = "elapsed ms"`},
					{fmt.Sprintf("seconds: a row every %g s", step), `time_format = "elapsed s"`}}}
		} else if reason == "" {
			reason = fmt.Sprintf("numbers that step by %.3g", step)
		}
		c.format = ElapsedSeconds
	}
	c.factor = timeFactors[c.format]
	c.utc = strings.HasPrefix(string(c.format), "unix")
	d.note("time_format", string(c.format)+" in "+d.headerText(c.value), reason)
	return nil
}

// pickNumericTime returns the number of the column and the reason for it.
func (d *detector) pickNumericTime() (int, string) {
	isUnix := func(v float64) bool {
		for s := 1.0; s <= 1e9; s *= 1000 {
			if v >= 9.4e8*s && v < 4.2e9*s {
				return true
			}
		}
		return false
	}
	named, by := 0, ""
	for n, e := range d.evidence {
		if e.kind != cellNumber || len(e.values) == 0 {
			continue
		}
		_, _, u := cutUnit(d.header[n])
		byName := suggestsTime(d.header[n]) || (u != nil && u.content == HoldsTime)
		if isUnix(median(e.values)) && (byName || d.header[n] == "" || ascends(e.values[:e.head])) {
			return n + 1, "Unix times by their size"
		}
		if v := e.values[:e.head]; byName && named == 0 && ascends(v) && distinct(v) > len(v)/50+1 {
			named, by = n+1, "by its name"
		}
	}
	if named > 0 {
		return named, by
	}
	// A run time, perhaps misspelt: the first column, never falling, and not
	// just counting the rows.
	for n, e := range d.evidence {
		if n > 0 || e.kind != cellNumber || suggestsCounter(d.header[n]) {
			continue
		}
		v := e.values[:e.head]
		if len(v) > 9 && distinct(v) > 5 && ascends(v) && v[len(v)-1] > v[0] && !counts(v) {
			return n + 1, "it comes first and never falls"
		}
	}
	return 0, ""
}

// noTime explains that there is no time column.
func (d *detector) noTime() error {
	for n, e := range d.evidence {
		if n == 0 && e.kind == cellNumber && len(e.values) > 2 && counts(e.values[:e.head]) {
			if suggestsCounter(d.header[n]) {
				break
			}
			return &AmbiguousError{File: d.src.path, Line: d.first + 1,
				What: fmt.Sprintf("meaning of %s, which rises by 1 from row to row", d.headerText(1)),
				Readings: []Reading{
					{"seconds since the start", `[[columns]] number = 1, holds = "time", unit = "s"`},
					{"a count of rows", "interval_s to the seconds between two rows"}}}
		}
	}
	return d.src.fail(fmt.Sprintf("has no column of times (header %q, first row %q)", d.header, excerpt(d.sample.lines[d.first].text)),
		"name the column under [[columns]] with holds = \"time\", or set interval_s to the seconds between two rows", ErrNoTime)
}

// ascends reports whether values hardly ever fall; a restart may make them
// begin again.
func ascends(v []float64) bool {
	falls := 0
	for i := 1; i < len(v); i++ {
		if v[i] < v[i-1] {
			falls++
		}
	}
	return len(v) > 1 && falls <= len(v)/50
}

// distinct counts the values that differ from the one before.
func distinct(v []float64) int {
	n := 0
	for i, x := range v {
		if i == 0 || x != v[i-1] {
			n++
		}
	}
	return n
}

// counts reports whether each value is one more than the one before.
func counts(v []float64) bool {
	off := 0
	for i := 1; i < len(v); i++ {
		if v[i] != v[i-1]+1 {
			off++
		}
	}
	return off <= len(v)/20
}

// median returns the middle of the values, NaN for none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	sort.Float64s(s)
	return s[len(s)/2]
}

// medianStep returns the median of the steps that rise.
func medianStep(v []float64) float64 {
	var steps []float64
	for i := 1; i < len(v); i++ {
		if s := v[i] - v[i-1]; s > 0 {
			steps = append(steps, s)
		}
	}
	return median(steps)
}
