package detect

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/dates"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/epoch"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/pace"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
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
			if d.preambleInterval() {
				return nil
			}
			return d.noTime()
		}
	}
	if d.Layout.TimeFormat != "" {
		c.Format, reason = d.Layout.TimeFormat, "layout"
		if plan.TimeFactors[c.Format] == 0 {
			return d.Src.Fail(fmt.Sprintf("has numbers for times (%s), which time_format = %q does not fit", d.HeaderText(c.Value), c.Format),
				`set time_format to "elapsed s", "unix s" or another of numbers`, account.ErrNoTime)
		}
	} else if f, err := d.epochFormat(); f != "" || err != nil {
		if err != nil {
			return err
		}
		c.Format = f
	} else if err := d.elapsedFormat(&reason); err != nil {
		return err
	}
	c.Factor = plan.TimeFactors[c.Format]
	c.UTC = strings.HasPrefix(string(c.Format), "unix") || c.Format == layout.SecondsSince2001 || c.Format == layout.SecondsSince1980
	d.Note("time_format", string(c.Format)+" in "+d.HeaderText(c.Value), reason)
	return nil
}

// timeUnit returns the name of a column of times without its unit, and the unit;
// nil where it is none of time.
func (d *detector) timeUnit(n int) (name, found string, u *unit.Unit) {
	name, found, u = heading.CutUnit(d.Header[n-1])
	if l, ok := d.LayoutFor(n); ok && l.Unit != "" {
		u, _ = unit.LookUp(l.Unit)
		found = l.Unit
	}
	if u != nil && u.Kind() != quantity.KindDuration {
		u = nil
	}
	return name, found, u
}

// epochFormat tells times since a fixed day by their size, "" for others. It asks
// where two such days are possible.
func (d *detector) epochFormat() (layout.TimeFormat, error) {
	e := d.Evidence[d.clock.Value-1]
	name, _, u := d.timeUnit(d.clock.Value)
	days := e.Fraction && numbers.MedianStep(e.Values[:e.Head]) < 0.05 && u == nil
	middle := table.Median(e.Values)
	if days {
		middle += float64(d.Src.DayZero)
	}
	formats := epoch.Of(middle, heading.Words(name), e.Fraction, days)
	if i := slices.Index(formats, layout.SpreadsheetDays); i >= 0 && d.Src.DayZero != 0 {
		if d.Src.DayZero != source.Days1904 {
			day := time.Date(1899, 12, 30+int(d.Src.DayZero), 0, 0, 0, 0, time.UTC).Format("2006-01-02")
			return "", d.Src.Fail(fmt.Sprintf("counts days from %s (%s), which is not read here", day, d.HeaderText(d.clock.Value)), "format the column as date and time in a spreadsheet program and save it again", account.ErrNoTime)
		}
		formats[i] = layout.SpreadsheetDays1904
	}
	if len(formats) == 1 && formats[0] == layout.SpreadsheetDays && d.Src.DayZero == 0 {
		formats = d.daySystems(e.Values[0])
	}
	switch len(formats) {
	case 0:
		return "", nil
	case 1:
		return formats[0], nil
	}
	ask := &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1, What: fmt.Sprintf("day from which the times in %s count, such as %.9g", d.HeaderText(d.clock.Value), e.Values[0])}
	for _, f := range formats {
		c := plan.Clock{Format: f, Factor: plan.TimeFactors[f]}
		day := time.Unix(int64(c.Seconds(e.Values[0])), 0).UTC().Format("2006-01-02")
		ask.Readings = append(ask.Readings, account.Reading{Meaning: fmt.Sprintf("%s, which begins on %s", f, day), Setting: fmt.Sprintf("time_format = %q", string(f))})
	}
	return "", ask
}

// daySystems are the ways to count days that numbers in a text may have: since 1904,
// too, where the preamble or the file's name has a date that says so. Where the file
// was written years later, it may be so.
func (d *detector) daySystems(first float64) []layout.TimeFormat {
	day := epoch.SpreadsheetDay(first)
	for _, beside := range []func() (y, m, day int64, where string){d.preambleDate, func() (int64, int64, int64, string) { return dates.InName(d.Src.Path) }} {
		if y, m, at, where := beside(); where != "" && epoch.Since1904(day, parse.DaysSinceEpoch(y, m, at)) {
			return []layout.TimeFormat{layout.SpreadsheetDays1904, layout.SpreadsheetDays}
		}
	}
	if later := d.Src.Changed.Sub(time.Unix(day*86400, 0)); !d.Src.Changed.IsZero() && later > epoch.Years3 {
		d.warnings.Add(account.TimeUnit, d.Src.Name(), fmt.Sprintf("by its day numbers the file is of %s, and it was written %.1f years later; if it was not copied, and the numbers count from 1904, set time_format = %q",
			time.Unix(day*86400, 0).UTC().Format(time.DateOnly), later.Hours()/24/365.25, string(layout.SpreadsheetDays1904)))
	}
	return []layout.TimeFormat{layout.SpreadsheetDays}
}

// elapsedFormat finds the unit of times since the start, and asks where steps
// of seconds and of milliseconds are both possible.
func (d *detector) elapsedFormat(reason *string) error {
	c := &d.clock
	name, found, u := d.timeUnit(d.clock.Value)
	words := heading.Words(name)
	e := d.Evidence[c.Value-1]
	if e.Fraction && heading.MinutesAndSeconds(d.Header[c.Value-1]) { // 1.05 is 65 s
		return d.Src.Fail(fmt.Sprintf("counts time in minutes and seconds with a decimal mark between (%s), which is not read here", d.HeaderText(c.Value)), "export it with a colon, 1:05, or in seconds", account.ErrNoTime)
	}
	switch {
	case u != nil:
		c.Format = map[string]layout.TimeFormat{"s": layout.ElapsedSeconds, "ms": layout.ElapsedMilliseconds, "min": layout.ElapsedMinutes, "h": layout.ElapsedHours, "d": layout.ElapsedDays, "µs": layout.ElapsedMicroseconds}[u.Name]
		if c.Format == "" {
			return d.Src.Fail(fmt.Sprintf("counts time in %s (%s), which is not read here", u.Name, d.HeaderText(c.Value)), "export it in seconds or milliseconds", account.ErrNoTime)
		}
		*reason = "unit " + found
		return d.doubtSteps()
	case heading.CountsTicks(d.Header[c.Value-1]):
		return d.Src.Fail(fmt.Sprintf("counts time in parts that are not read here (%s)", d.HeaderText(c.Value)), "export it in seconds or milliseconds", account.ErrNoTime)
	case slices.Contains(words, "ms") || slices.Contains(words, "millis"):
		c.Format = layout.ElapsedMilliseconds
		return nil
	}
	if f := heading.ElapsedIn(words, found); f != "" {
		c.Format = f
		if *reason == "" || *reason == "it comes first and never falls" {
			*reason = "by its name"
		}
		return d.doubtSteps()
	}
	step := numbers.MedianStep(e.Values[:e.Head])
	if step > 0 && step < 1e-3 {
		return &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1,
			What: fmt.Sprintf("unit of the times in %s, which step by %.3g", d.HeaderText(c.Value), step),
			Readings: []account.Reading{
				{Meaning: fmt.Sprintf("days: a row every %.3g s", step*86400), Setting: `time_format = "elapsed d"`},
				{Meaning: fmt.Sprintf("hours: a row every %.3g s", step*3600), Setting: `time_format = "elapsed h"`},
				{Meaning: fmt.Sprintf("seconds: %.3g rows in each", 1/step), Setting: `time_format = "elapsed s"`}}}
	}
	if *reason == "" {
		*reason = fmt.Sprintf("numbers that step by %.3g", step)
	}
	c.Format, d.assumed = layout.ElapsedSeconds, true
	return d.ask(pace.Steps(d.times()))
}

// doubtSteps asks where a header speaks of seconds and the numbers step like
// milliseconds. What the layout says of the column is not doubted.
func (d *detector) doubtSteps() error {
	if l, _ := d.LayoutFor(d.clock.Value); l.Unit != "" {
		return nil
	}
	return d.ask(pace.Steps(d.times()))
}

// times are the numbers of the time column.
func (d *detector) times() pace.Times {
	e := d.Evidence[d.clock.Value-1]
	return pace.Times{Name: d.HeaderText(d.clock.Value), Values: e.Values, Head: e.Head, Format: d.clock.Format, Fraction: e.Fraction}
}

// ask makes a question of a doubt about the times, or a warning.
func (d *detector) ask(doubt *pace.Doubt) error {
	if doubt == nil {
		return nil
	}
	if len(doubt.Readings) == 0 {
		d.warnings.Add(account.TimeUnit, d.Src.Name(), doubt.What)
		return nil
	}
	return &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1, What: doubt.What, Readings: doubt.Readings}
}

// doubtTimes asks, or warns, where probes and speed would change over the times as
// they don't in a car. What the layout says is not doubted.
func (d *detector) doubtTimes() error {
	if d.clock.Value == 0 || d.Layout.TimeFormat != "" {
		return nil
	}
	if l, _ := d.LayoutFor(d.clock.Value); l.Unit != "" {
		return nil
	}
	var traces []pace.Trace
	for _, c := range d.columns {
		speed := c.Content == layout.HoldsSpeed
		if c.Unit == nil || !speed && (c.Content != layout.HoldsTemperature || heading.IsExhaust(c.Name)) {
			continue
		}
		e := d.Evidence[c.Number-1]
		t := pace.Trace{Name: c.Name, Head: e.Head, Speed: speed}
		for _, v := range e.Values {
			t.Values = append(t.Values, c.Unit.SI(v))
		}
		traces = append(traces, t)
	}
	if d.assumed {
		if err := d.ask(pace.Assumed(d.times(), traces)); err != nil {
			return err
		}
	}
	return d.ask(pace.Stated(d.times(), traces))
}

// pickNumericTime returns the number of the column and the reason for it.
func (d *detector) pickNumericTime() (int, string) {
	named, by := 0, ""
	for n, e := range d.Evidence {
		if e.Kind != cell.Numeric || len(e.Values) == 0 {
			continue
		}
		_, _, u := heading.CutUnit(d.Header[n])
		byName := heading.SuggestsTime(d.Header[n]) && (n == 0 || !d.temperatureT(n+1)) || (u != nil && u.Kind() == quantity.KindDuration) ||
			n == 0 && strings.TrimSpace(d.Header[n]) == "s" // the symbol alone
		v := e.Values[:e.Head]
		if epoch.Unix(table.Median(e.Values)) != "" && (byName || d.Header[n] == "" || numbers.Ascends(v)) {
			return n + 1, "Unix times by their size"
		}
		if byName && named == 0 && numbers.Ascends(v) && numbers.Distinct(v) > len(v)/50+1 {
			named, by = n+1, "by its name"
		}
	}
	if named == 0 && d.runTimeFirst() {
		return 1, "it comes first and never falls"
	}
	return named, by
}

// runTimeFirst reports whether the first column is a run time, perhaps
// misspelt: never falling, and not just counting the rows.
func (d *detector) runTimeFirst() bool {
	if len(d.Evidence) == 0 {
		return false
	}
	e := d.Evidence[0]
	if e.Kind != cell.Numeric || heading.SuggestsCounter(d.Header[0]) {
		return false
	}
	v := e.Values[:e.Head]
	return len(v) > 9 && numbers.Distinct(v) > 5 && numbers.Ascends(v) && v[len(v)-1] > v[0] && !numbers.Counts(v)
}

// noTime explains that there is no time column.
func (d *detector) noTime() error {
	for n, e := range d.Evidence {
		if n == 0 && e.Kind == cell.Numeric && len(e.Values) > 2 && numbers.Counts(e.Values[:e.Head]) {
			if heading.SuggestsCounter(d.Header[n]) {
				break
			}
			return &account.AmbiguousError{File: d.Src.Path, Line: d.First + 1,
				What: fmt.Sprintf("meaning of %s, which rises by 1 from row to row", d.HeaderText(1)),
				Readings: []account.Reading{
					{Meaning: "seconds since the start", Setting: `[[columns]] number = 1, holds = "time", unit = "s"`},
					{Meaning: "a count of rows", Setting: "interval_s to the seconds between two rows"}}}
		}
	}
	return d.Src.Fail(fmt.Sprintf("has no column of times (header %q, first row %q)", d.Header, cell.Excerpt(d.Sample.Lines[d.First].Text)),
		"name the column under [[columns]] with holds = \"time\", or set interval_s to the seconds between two rows", account.ErrNoTime)
}
