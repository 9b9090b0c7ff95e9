package detect

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findNumericTime finds a time column of numbers: by its name, by its size, or
// because it never falls.
func (d *detector) findNumericTime(given bool) error {
	c := &d.clock
	reason := "layout"
	if !given {
		c.Value, reason = d.pickNumericTime()
		if c.Value == 0 {
			return d.noTime()
		}
	}
	e := d.evidence[c.Value-1]
	name, foundUnit, u := heading.CutUnit(d.header[c.Value-1])
	if l, ok := d.layoutFor(c.Value); ok && l.Unit != "" {
		u, _ = layout.LookUpUnit(l.Unit)
		foundUnit = l.Unit
	}
	middle := table.Median(e.values)
	switch {
	case d.layout.TimeFormat != "":
		c.Format = d.layout.TimeFormat
		if plan.TimeFactors[c.Format] == 0 {
			return d.src.Fail(fmt.Sprintf("has numbers for times (%s), which time_format = %q does not fit", d.headerText(c.Value), c.Format),
				`set time_format to "elapsed s", "unix s" or another of numbers`, account.ErrNoTime)
		}
		reason = "layout"
	case middle >= 9.4e8 && middle < 4.2e9 && !strings.Contains(strings.ToLower(name), "elapsed"):
		c.Format = layout.UnixSeconds // 2000 to 2100
	case middle >= 9.4e11 && middle < 4.2e12:
		c.Format = layout.UnixMilliseconds
	case middle >= 9.4e14 && middle < 4.2e15:
		c.Format = layout.UnixMicroseconds
	case middle >= 9.4e17 && middle < 4.2e18:
		c.Format = layout.UnixNanoseconds
	case middle > 36525 && middle < 73050 && e.fraction && medianStep(e.values[:e.head]) < 0.05 && (u == nil || u.Content != layout.HoldsTime):
		c.Format = layout.SpreadsheetDays // 2000 to 2100
	case u != nil && u.Content == layout.HoldsTime:
		c.Format = map[string]layout.TimeFormat{"s": layout.ElapsedSeconds, "ms": layout.ElapsedMilliseconds, "min": layout.ElapsedMinutes, "h": layout.ElapsedHours}[u.Name]
		if c.Format == "" {
			return d.src.Fail(fmt.Sprintf("counts time in %s (%s), which is not read here", u.Name, d.headerText(c.Value)), "export it in seconds or milliseconds", account.ErrNoTime)
		}
		reason = "unit " + foundUnit
	case slices.Contains(heading.Words(name), "ms") || slices.Contains(heading.Words(name), "millis"):
		c.Format = layout.ElapsedMilliseconds
	default:
		if step := medianStep(e.values[:e.head]); step > 60 {
			return &account.AmbiguousError{File: d.src.Path, Line: d.first + 1,
				What: fmt.Sprintf("unit of the times in %s, which step by %g", d.headerText(c.Value), step),
				Readings: []account.Reading{
					{Meaning: fmt.Sprintf("milliseconds: a row every %g s", step/1000), Setting: `time_format = "elapsed ms"`},
					{Meaning: fmt.Sprintf("seconds: a row every %g s", step), Setting: `time_format = "elapsed s"`}}}
		} else if reason == "" {
			reason = fmt.Sprintf("numbers that step by %.3g", step)
		}
		c.Format = layout.ElapsedSeconds
	}
	c.Factor = plan.TimeFactors[c.Format]
	c.Utc = strings.HasPrefix(string(c.Format), "unix")
	d.note("time_format", string(c.Format)+" in "+d.headerText(c.Value), reason)
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
		if e.kind != cell.Numeric || len(e.values) == 0 {
			continue
		}
		_, _, u := heading.CutUnit(d.header[n])
		byName := heading.SuggestsTime(d.header[n]) || (u != nil && u.Content == layout.HoldsTime)
		if isUnix(table.Median(e.values)) && (byName || d.header[n] == "" || ascends(e.values[:e.head])) {
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
		if n > 0 || e.kind != cell.Numeric || heading.SuggestsCounter(d.header[n]) {
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
		if n == 0 && e.kind == cell.Numeric && len(e.values) > 2 && counts(e.values[:e.head]) {
			if heading.SuggestsCounter(d.header[n]) {
				break
			}
			return &account.AmbiguousError{File: d.src.Path, Line: d.first + 1,
				What: fmt.Sprintf("meaning of %s, which rises by 1 from row to row", d.headerText(1)),
				Readings: []account.Reading{
					{Meaning: "seconds since the start", Setting: `[[columns]] number = 1, holds = "time", unit = "s"`},
					{Meaning: "a count of rows", Setting: "interval_s to the seconds between two rows"}}}
		}
	}
	return d.src.Fail(fmt.Sprintf("has no column of times (header %q, first row %q)", d.header, cell.Excerpt(d.sample.lines[d.first].text)),
		"name the column under [[columns]] with holds = \"time\", or set interval_s to the seconds between two rows", account.ErrNoTime)
}
