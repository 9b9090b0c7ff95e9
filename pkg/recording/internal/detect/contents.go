package detect

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/degrees"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findContents says what each column holds and in which unit, as far as names
// and unit marks tell.
func (d *detector) findContents() error {
	if d.clock.Numeric() {
		d.setNumericBase()
	}
	for n := 1; n <= d.Fields; n++ {
		l, given := d.LayoutFor(n)
		if d.isTimeColumn(n) || l.Holds == layout.HoldsNothing || l.Holds == layout.HoldsUnit {
			continue
		}
		e := d.Evidence[n-1]
		if !d.readable(n) && !(given && l.Holds != "") {
			d.nameLeftOut(n)
			continue
		}
		name, found, u, scale := heading.CutScaled(d.Header[n-1])
		if !given && e.Kind == cell.Numeric && d.leaveOut(n, u) {
			continue
		}
		c := plan.Column{Head: table.Head{Number: n, Name: name, Found: found, Unit: u}, Longest: e.Longest(), Mangled: e.Mangled, Grouped: e.Grouped, OtherMark: e.OtherMark}
		d.tellSpoilt(c, e)
		if u != nil {
			c.Reason = "header"
		}
		d.unitBeside(&c, e)
		d.hemisphere(&c)
		d.contentByName(&c)
		if err := d.scale(&c, l, e.Values, scale); err != nil {
			return err
		}
		if given {
			applyLayout(&c, l)
		}
		if c.Unit == nil {
			d.assumeUnit(&c, e)
		}
		if c.Name == "" {
			c.Name = fmt.Sprintf("column %d", n)
		}
		d.columns = append(d.columns, c)
	}
	if len(d.columns) == 0 {
		return d.Src.Fail(fmt.Sprintf("has times but no column of values (header %q, first row %q)", d.Header, cell.Excerpt(d.Sample.Lines[d.First].Text)),
			"check that channels were switched on, or name the columns under [[columns]]", account.ErrNoData)
	}
	d.suffixUnits()
	if err := d.positionForm(); err != nil {
		return err
	}
	d.uniqueNames()
	return nil
}

// scale brings a column below a header that speaks of a factor, if it does, to its
// unit, or asks.
func (d *detector) scale(c *plan.Column, l layout.ColumnLayout, values []float64, s heading.Scale) error {
	if s.Counts == 0 || l.Unit != "" || c.Content == layout.HoldsNumber {
		return nil
	}
	if c.Content != layout.HoldsTemperature && c.Content != layout.HoldsDifference {
		c.Content, c.Unit = layout.HoldsNumber, unit.Raw
		d.warnings.Add(account.UnitAssumed, c.Name, "the header speaks of a factor: numbers kept as they stand; name their unit under [[columns]] if they have one")
		return nil
	}
	if s.Divided && !degrees.Divided(values, c.Unit) {
		if doubt := degrees.DoubtQuotient(values, c.Unit); doubt != "" {
			d.warnings.Add(account.UnitAssumed, c.Name, doubt)
		}
		return nil
	}
	given, _ := unit.LookUp(d.Layout.TemperatureUnit)
	u, readings := degrees.Counts(values, s.Counts, c.Unit, given, heading.IsExhaust(s.Name))
	if u == nil && readings == nil {
		return d.Src.Fail(fmt.Sprintf("has temperatures in %s with a factor (%s), which is not read here", c.Unit.Name, d.HeaderText(c.Number)), "export them without it, or name the unit of the numbers as they stand under [[columns]]", account.ErrNoData)
	}
	if u == nil {
		return &account.AmbiguousError{File: d.Src.Path, Line: d.First, What: "unit of the temperatures in " + d.HeaderText(c.Number) + ", which speaks of a factor", Readings: readings}
	}
	c.Name, c.Unit, c.Reason = s.Name, u, grid.GivenOr(given != nil, "header")
	return nil
}

// readable reports whether a column holds numbers, or would if its sensor were
// connected.
func (d *detector) readable(n int) bool {
	k := d.Evidence[n-1].Kind
	return k == cell.Numeric || k == cell.UnitNumeric || d.neverFilled(n)
}

// contentByName says what a column holds, by its name and its unit.
func (d *detector) contentByName(c *plan.Column) {
	suggested, _ := heading.ContentOf(c.Name)
	c.Content = suggested
	if u := d.letterForAll(c.Number); u != nil && c.Unit == nil {
		c.Content, c.Found, c.Reason = layout.HoldsTemperature, c.Name, "the letter that names several columns"
		if u != unit.Kelvin { // K names a type of thermocouple, too
			c.Unit = u
		}
		return
	}
	if suggested == "" && d.temperatureT(c.Number) {
		c.Content = layout.HoldsTemperature
	}
	switch {
	case c.Unit != nil && c.Unit.Kind() == quantity.KindDuration:
		c.Unit, c.Content = nil, layout.HoldsNumber
	case c.Unit != nil && suggested != "" && suggested.Takes(c.Unit.Kind()) && suggested != layout.HoldsNumber:
	case c.Unit != nil:
		c.Content = layout.ContentOf(c.Unit.Kind())
	case c.Content == "" && strings.Trim(d.Header[c.Number-1], "0123456789") == "":
		c.Content = layout.HoldsTemperature // a table without names: see findTemperatureUnit
	case c.Content == "":
		c.Content = layout.HoldsNumber
	}
}

// nameLeftOut says that a column with a name holds nothing to read. A position
// that can't be read is worth a warning.
func (d *detector) nameLeftOut(n int) {
	e := d.Evidence[n-1]
	if d.Header[n-1] == "" || e.Kind == cell.Unit || e.Kind == cell.Hemisphere {
		return
	}
	why := "empty in the rows looked at"
	if e.Kind != cell.Empty {
		why = fmt.Sprintf("it holds no numbers, but such as %q", e.FirstText)
	}
	d.Note("columns", d.HeaderText(n)+" left out", why)
	numeric := e.Count[cell.Numeric] + e.Count[cell.UnitNumeric] + e.Count[cell.DayMonth] + e.Count[cell.Grouped]
	c, _ := heading.ContentOf(d.Header[n-1])
	_, _, u := heading.CutUnit(d.Header[n-1])
	if u != nil && e.Kind != cell.Empty || c != "" && c != layout.HoldsNumber || numeric*50 > len(d.Sample.Lines)-d.First || e.Kind == cell.Empty && !d.Sample.Whole {
		d.warnings.Add(estimate.LostReadings, d.Src.Name(), fmt.Sprintf("%s is not read: %s", d.HeaderText(n), why))
	}
}

// neverFilled reports whether a column with a name holds no value in the
// sample; it is kept, so that an open channel is seen to be open.
func (d *detector) neverFilled(n int) bool {
	e := d.Evidence[n-1]
	return d.Header[n-1] != "" && e.Kind == cell.Empty && e.Count[cell.NoValue] > 0
}

// leaveOut reports whether a column of numbers is none to measure by: a count
// of rows, or a second time.
func (d *detector) leaveOut(n int, u *unit.Unit) bool {
	e := d.Evidence[n-1]
	v := e.Values[:e.Head]
	if rows := len(d.Sample.Lines) - d.First; d.Header[n-1] == "" && d.Named() && 10*len(e.Values) < rows {
		why := fmt.Sprintf("beside the table: no name, and %s in %d rows", words.Plural(len(e.Values), "number"), rows)
		d.Note("columns", d.HeaderText(n)+" left out", why)
		d.warnings.Add(estimate.LostReadings, d.Src.Name(), d.HeaderText(n)+" is not read: "+why)
		return true
	}
	if len(v) > 2 && numbers.Counts(v) && (heading.SuggestsCounter(d.Header[n-1]) || (n == 1 && d.Header[0] == "")) {
		d.Note("columns", d.HeaderText(n)+" left out", "it only counts the rows")
		return true
	}
	if heading.SuggestsTime(d.Header[n-1]) && !d.temperatureT(n) && (u == nil || u.Kind() == quantity.KindDuration) && numbers.Ascends(v) {
		d.Note("columns", d.HeaderText(n)+" left out", "a second column of times")
		return true
	}
	return false
}

// setNumericBase lets numbers that count from 1970 count from the first one.
func (d *detector) setNumericBase() {
	c := &d.clock
	if v := d.Evidence[c.Value-1].Values; c.Format.Dated() && len(v) > 0 {
		c.Base = int64(math.Floor(c.Seconds(v[0])))
	}
}

// uniqueNames numbers columns that share a name.
func (d *detector) uniqueNames() {
	seen := map[string]int{}
	for i := range d.columns {
		c := &d.columns[i]
		key := strings.ToLower(c.Name)
		seen[key]++
		if seen[key] > 1 {
			c.Name = fmt.Sprintf("%s (column %d)", c.Name, c.Number)
		}
	}
}
