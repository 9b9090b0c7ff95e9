package detect

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
)

// partNames are the names of columns that hold one part of a date each.
var partNames = [6][]string{{"year", "jahr"}, {"month", "monat"}, {"day", "tag"}, {"hour", "stunde"}, {"minute", "min"}, {"second", "sec", "sekunde"}}

// checkParts refuses a layout whose parts of a time are not complete.
func (d *detector) checkParts() error {
	c := &d.clock
	var missing []string
	for i, n := range c.Parts {
		if n == 0 {
			missing = append(missing, fmt.Sprintf("%q", string(plan.PartContents[i])))
		}
	}
	switch {
	case c.Week > 0 != (c.Within > 0):
		return d.Src.Fail("has a layout with a week of the GPS or a time of week, but not both", `say which columns hold them, with holds = "gps week" and holds = "time of week" under [[columns]]`, account.ErrNoTime)
	case c.DayOfYear > 0 && (c.Parts[0] == 0 || c.Clock == 0 && c.Parts[3] == 0 && c.Parts[5] == 0):
		return d.Src.Fail("has a layout with a day of the year, but no year or no time of day", `say which columns hold them, with holds = "year" and holds = "time" or "hour" under [[columns]]`, account.ErrNoTime)
	case c.DayOfYear > 0:
	case len(missing) > 0 && len(missing) < len(c.Parts):
		return d.Src.Fail("has a layout with some parts of the time in columns of their own, but no column that holds "+strings.Join(missing, ", "),
			"give each of the six a column under [[columns]]", account.ErrNoTime)
	case (c.Millis > 0 || c.ZoneAt > 0) && (c.Date == 0 || c.Clock == 0):
		return d.Src.Fail("has a layout with milliseconds or an offset from UTC in a column of its own, but no date and no time of day in columns of theirs",
			`say which columns hold them, with holds = "date" and holds = "time" under [[columns]]`, account.ErrNoTime)
	}
	return nil
}

// pickParts finds a time that is spread over six columns of numbers.
func (d *detector) pickParts() {
	var parts [6]int
	for n, e := range d.Evidence {
		words := heading.Words(d.Header[n])
		if len(words) == 0 || e.Kind != cell.Numeric || len(e.Values) == 0 {
			continue
		}
		for i, names := range partNames {
			fits := slices.Contains(names, strings.TrimSuffix(words[0], "s")) &&
				slices.Min(e.Values) >= plan.PartLimits[i][0] && slices.Max(e.Values) <= plan.PartLimits[i][1]
			if parts[i] == 0 && fits {
				parts[i] = n + 1
				break
			}
		}
	}
	if !slices.Contains(parts[:], 0) {
		d.clock.Parts = parts
		d.clock.Stamp, d.clock.Date, d.clock.Clock, d.clock.HalfDay = 0, 0, 0, 0
	}
}

// pickBeside finds milliseconds and the offset from UTC in columns beside a
// date and a time.
func (d *detector) pickBeside() {
	c := &d.clock
	if c.Date == 0 || c.Clock == 0 {
		return
	}
	for n, e := range d.Evidence {
		words := heading.Words(d.Header[n])
		has := func(names ...string) bool {
			return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(names, w) })
		}
		switch {
		case e.Kind == cell.Numeric && has("ms", "msec", "millis", "millisecond", "milliseconds") && !e.Fraction &&
			slices.Min(e.Values) >= 0 && slices.Max(e.Values) <= 999 && d.wholeClocks():
			c.Millis = n + 1
			d.Note("time", "milliseconds in "+d.HeaderText(n+1), "by its name")
		case has("zone", "offset", "tz", "timezone") && parse.IsZone([]byte(e.FirstText)):
			c.ZoneAt, c.UTC = n+1, true
			d.Note("zone", "offset from UTC in "+d.HeaderText(n+1), "by its name")
		}
	}
}

// wholeClocks reports whether no time of day has a fraction of its own.
func (d *detector) wholeClocks() bool {
	for _, l := range d.Sample.Lines[d.First:] {
		cells := d.CellsOf(l.Text)
		if len(cells) < d.clock.Clock {
			continue
		}
		if k, ok := parse.Clock(cells[d.clock.Clock-1], false); ok && k.Nanos != 0 {
			return false
		}
	}
	return true
}

// basePartwise lets times count from midnight of the first date.
func (d *detector) basePartwise() error {
	rows := plan.NewParser(d.plan())
	for _, l := range d.Sample.Lines[d.First:] {
		if t, ok := rows.TimeOf(d.CellsOf(l.Text)); ok {
			d.clock.Base = int64(math.Floor(t/86400)) * 86400
			return nil
		}
	}
	return d.Src.Fail(fmt.Sprintf("has no date that exists in its columns %v", d.clock.Parts), "see which columns hold the date", account.ErrNoTime)
}
