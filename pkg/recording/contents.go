package recording

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// findContents says what each column holds and in which unit, as far as names
// and unit marks tell.
func (d *detector) findContents() error {
	if d.clock.numeric() {
		d.setNumericBase()
	}
	for n := 1; n <= d.fields; n++ {
		l, given := d.layoutFor(n)
		if d.isTimeColumn(n) || l.Holds == HoldsNothing || l.Holds == HoldsUnit {
			continue
		}
		e := d.evidence[n-1]
		if e.kind != cellNumber && e.kind != cellUnitNumber && !(given && l.Holds != "") && !d.neverFilled(n) {
			d.nameLeftOut(n)
			continue
		}
		name, found, u := cutUnit(d.header[n-1])
		if !given && e.kind == cellNumber && d.leaveOut(n, u) {
			continue
		}
		c := planColumn{head: head{number: n, name: name, found: found, unit: u}, longest: e.longest()}
		if u != nil {
			c.reason = "header"
		}
		d.unitBeside(&c, e)
		d.hemisphere(&c)
		suggested, bare := contentOf(name)
		c.bare = bare || d.header[n-1] == ""
		c.content = suggested
		switch {
		case c.unit != nil && c.unit.content == HoldsTime:
			c.unit, c.content = nil, HoldsNumber
		case c.unit != nil && suggested != "" && c.unit.fits(suggested) && suggested != HoldsNumber:
		case c.unit != nil:
			c.content = c.unit.content
		case c.content == "" && d.header[n-1] == "":
			c.content = HoldsTemperature // a table without names: see findTemperatureUnit
		case c.content == "":
			c.content = HoldsNumber
		}
		if err := d.applyLayout(&c, l, given); err != nil {
			return err
		}
		if c.unit == nil {
			d.assumeUnit(&c, e)
		}
		if c.name == "" {
			c.name = fmt.Sprintf("column %d", n)
		}
		d.columns = append(d.columns, c)
	}
	if len(d.columns) == 0 {
		return d.src.fail(fmt.Sprintf("has times but no column of values (header %q, first row %q)", d.header, excerpt(d.sample.lines[d.first].text)),
			"check that channels were switched on, or name the columns under [[columns]]", ErrNoData)
	}
	d.suffixUnits()
	d.positionForm()
	d.uniqueNames()
	return nil
}

// nameLeftOut says that a column with a name holds nothing to read. A position
// that can't be read is worth a warning.
func (d *detector) nameLeftOut(n int) {
	e := d.evidence[n-1]
	if d.header[n-1] == "" || e.kind == cellUnit || e.kind == cellHemisphere {
		return
	}
	why := "empty in the rows looked at"
	if e.kind != cellEmpty {
		why = fmt.Sprintf("it holds no numbers, but such as %q", e.firstText)
	}
	d.note("columns", d.headerText(n)+" left out", why)
	if c, _ := contentOf(d.header[n-1]); c != "" && c != HoldsNumber {
		d.warnings.add(lostReadings, d.headerText(n), fmt.Sprintf("%s is not read: %s", d.headerText(n), why))
	}
}

// isTimeColumn reports whether the column gives the time.
func (d *detector) isTimeColumn(n int) bool {
	c := d.clock
	return n == c.stamp || n == c.date || n == c.clock || n == c.halfDay || n == c.value || n == c.millis || n == c.zoneAt || slices.Contains(c.parts[:], n)
}

// neverFilled reports whether a column with a name holds no value in the
// sample; it is kept, so that an open channel is seen to be open.
func (d *detector) neverFilled(n int) bool {
	e := d.evidence[n-1]
	return d.header[n-1] != "" && e.kind == cellEmpty && e.count[cellNoValue] > 0
}

// leaveOut reports whether a column of numbers is none to measure by: a count
// of rows, or a second time.
func (d *detector) leaveOut(n int, u *unit) bool {
	e := d.evidence[n-1]
	v := e.values[:e.head]
	if rows := len(d.sample.lines) - d.first; d.header[n-1] == "" && d.named() && 10*len(e.values) < rows {
		why := fmt.Sprintf("beside the table: no name, and %s in %d rows", plural(len(e.values), "number"), rows)
		d.note("columns", d.headerText(n)+" left out", why)
		d.warnings.add(lostReadings, d.headerText(n), d.headerText(n)+" is not read: "+why)
		return true
	}
	if len(v) > 2 && counts(v) && (suggestsCounter(d.header[n-1]) || (n == 1 && d.header[0] == "")) {
		d.note("columns", d.headerText(n)+" left out", "it only counts the rows")
		return true
	}
	if suggestsTime(d.header[n-1]) && (u == nil || u.content == HoldsTime) && ascends(v) {
		d.note("columns", d.headerText(n)+" left out", "a second column of times")
		return true
	}
	return false
}

// named reports whether the file names its columns.
func (d *detector) named() bool {
	return slices.ContainsFunc(d.header, func(h string) bool { return h != "" })
}

// unitBeside takes the unit from a line of units, from the cells themselves or
// from the next column.
func (d *detector) unitBeside(c *planColumn, e evidence) {
	if c.unit == nil && c.number <= len(d.units) {
		s := strings.Trim(d.units[c.number-1], "[]()")
		if u, ok := lookUpUnit(s); ok {
			c.unit, c.found, c.reason = u, s, fmt.Sprintf("line of units %d", d.first)
		}
	}
	suggested, _ := contentOf(c.name)
	position := suggested == HoldsLatitude || suggested == HoldsLongitude // 46.5S is no second
	if u, ok := lookUpUnit(e.unit); ok && e.kind == cellUnitNumber && c.unit == nil && !(position && len(e.unit) == 1) {
		c.unit, c.found, c.reason = u, e.unit, "unit behind the numbers"
	}
	if c.number < d.fields && !d.isTimeColumn(c.number+1) {
		if next := d.evidence[c.number]; next.kind == cellUnit {
			if u, ok := lookUpUnit(next.unit); ok {
				c.unitAt = c.number + 1
				if c.unit == nil {
					c.unit, c.found, c.reason = u, next.unit, "unit column"
				}
			}
		}
	}
}

// hemisphere finds the N, S, E or W beside a latitude or longitude.
func (d *detector) hemisphere(c *planColumn) {
	if c.number < d.fields && d.evidence[c.number].kind == cellHemisphere {
		c.signAt = c.number + 1
	}
}

// applyLayout lets the layout overrule what was found for one column.
func (d *detector) applyLayout(c *planColumn, l ColumnLayout, given bool) error {
	if !given {
		return nil
	}
	if l.Number > 0 && l.Name != "" {
		c.name = l.Name
	}
	if l.Holds != "" {
		c.content = l.Holds
	}
	if l.Unit != "" {
		u, ok := lookUpUnit(l.Unit)
		switch {
		case !ok: // allowed for plain numbers only, see Layout.Check
			u = raw
		case l.Holds == "":
			if !u.fits(c.content) || c.content == HoldsNumber {
				c.content = u.content
			}
		}
		c.unit, c.found, c.reason = u, l.Unit, "layout"
	} else if c.unit != nil && !c.unit.fits(c.content) {
		c.unit = nil
	}
	c.low, c.high = l.Min, l.Max
	return nil
}

// assumeUnit gives the unit where a name leaves only one in common use, or
// where the numbers do. Temperatures and speeds are looked at together later.
func (d *detector) assumeUnit(c *planColumn, e evidence) {
	switch c.content {
	case HoldsTemperature, HoldsDifference, HoldsSpeed:
		return
	case HoldsNumber:
		c.unit = raw
		return
	case HoldsPressure:
		switch m := median(e.values); {
		case d.hasEngineParameters() && m <= 400:
			c.unit, c.reason = kiloPa, "named like the parameters of SAE J1979, which counts pressure in kPa"
		case m > 80 && m < 110:
			c.unit, c.reason = kiloPa, fmt.Sprintf("about %.4g, as air pressure is in kPa", m)
		case m > 800 && m < 1100:
			c.unit, c.reason = hectoPa, fmt.Sprintf("about %.4g, as air pressure is in hPa", m)
		case m > 80000 && m < 110000:
			c.unit, c.reason = pascal, fmt.Sprintf("about %.6g, as air pressure is in Pa", m)
		default:
			c.content, c.unit = HoldsNumber, raw
			d.warnings.add(unitAssumed, c.name, fmt.Sprintf("%s: unit of pressure not known, numbers kept as they stand", c.name))
		}
		return
	case HoldsHumidity:
		c.unit, c.reason = unitNames["%rh"], "numbers up to 100"
		if len(e.values) > 0 && slices.Max(e.values) <= 1 {
			c.unit, c.reason = unitNames["fraction"], "no number above 1"
		}
		return
	case HoldsLength:
		if d.hasEngineParameters() && slices.Contains(nameWords(c.name), "distance") {
			c.unit, c.reason = unitNames["km"], "named like the parameters of SAE J1979, which counts distance in km"
			return
		}
		// Phones write altitude in metres; a distance may be in anything.
		c.unit, c.reason = metre, "by its name; metres are usual"
		d.warnings.add(unitAssumed, c.name, fmt.Sprintf("%s carries no unit and is read in metres", c.name))
		return
	}
	c.unit, _ = lookUpUnit(baseUnit[c.content])
	c.reason = "usual for " + string(c.content)
}

// setNumericBase lets numbers that count from 1970 count from the first one.
func (d *detector) setNumericBase() {
	c := &d.clock
	if v := d.evidence[c.value-1].values; c.format.Dated() && len(v) > 0 {
		c.base = int64(math.Floor(c.seconds(v[0])))
	}
}

// seconds turns a number into seconds since 1970 or since the start.
func (c *clockPlan) seconds(v float64) float64 {
	if c.format == SpreadsheetDays {
		const epoch = 25569 // 1970-01-01 in days since 1899-12-30
		return math.Round((v-epoch)*86400*1e4) / 1e4
	}
	return v * c.factor
}

// uniqueNames numbers columns that share a name.
func (d *detector) uniqueNames() {
	seen := map[string]int{}
	for i := range d.columns {
		c := &d.columns[i]
		key := strings.ToLower(c.name)
		seen[key]++
		if seen[key] > 1 {
			c.name = fmt.Sprintf("%s (column %d)", c.name, c.number)
		}
	}
}
