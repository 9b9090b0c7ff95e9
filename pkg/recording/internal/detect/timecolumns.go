package detect

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
)

// checkLayoutColumns refuses a layout that names columns the file hasn't.
func (d *detector) checkLayoutColumns() error {
	for _, l := range d.layout.Columns {
		found := false
		for n := 1; n <= d.fields; n++ {
			k, ok := d.layoutFor(n)
			found = found || (ok && k == l)
		}
		if !found {
			return d.src.Fail(fmt.Sprintf("has no column number %d, name %q, that its layout speaks of; its header is %q", l.Number, l.Name, d.header),
				"correct the entry under [[columns]]", account.ErrNoData)
		}
	}
	return nil
}

// pickStamps takes the first column of stamps, or the first date and the first
// time of day.
func (d *detector) pickStamps() {
	c := &d.clock
	for n, e := range d.evidence {
		switch {
		case e.kind == cell.Stamp && c.Stamp == 0:
			c.Stamp = n + 1
		case e.kind == cell.Date && c.Date == 0:
			c.Date = n + 1
		case e.kind == cell.Clock && c.Clock == 0:
			c.Clock = n + 1
		case e.kind == cell.Numeric && c.Date == 0 && c.Stamp == 0 && d.compactDates(n):
			c.Date = n + 1
			if k := d.compactClock(); k >= 0 && !d.hasClock() {
				c.Clock, c.Compact = k+1, true
			}
		}
	}
}

// compactDates reports whether a column of whole numbers is one of dates such
// as 20250124 or 240125.
func (d *detector) compactDates(n int) bool {
	e := d.evidence[n]
	name := heading.Words(d.header[n])
	named := slices.ContainsFunc(name, func(w string) bool { return w == "date" || w == "datum" || w == "day" })
	beside := d.header[n] == "" && n+1 < len(d.evidence) && d.evidence[n+1].kind == cell.Clock // without a header
	if e.fraction || len(e.values) == 0 || !named && !beside {
		return false
	}
	for _, v := range e.values {
		if beside && (v < 19700101 || math.Mod(v, 1e4) < 101 || math.Mod(v, 1e4) > 1231) {
			return false
		}
		if (v < 19700101 || v > 22001231) && (v < 10100 || v > 999999) {
			return false
		}
	}
	return d.compactClock() >= 0 || d.hasClock()
}

// hasClock reports whether a column holds times of day.
func (d *detector) hasClock() bool {
	return slices.ContainsFunc(d.evidence, func(e evidence) bool { return e.kind == cell.Clock })
}

// compactClock returns the index of a column of times such as 141849, named as
// a time, or −1.
func (d *detector) compactClock() int {
	for n, e := range d.evidence {
		if e.kind != cell.Numeric || !heading.SuggestsTime(d.header[n]) || slices.Max(e.values) < 10000 {
			continue
		}
		fits := true
		for _, v := range e.values {
			k := int64(v)
			fits = fits && v >= 0 && k < 240000 && k%100 < 60 && k/100%100 < 60
		}
		if fits {
			return n
		}
	}
	return -1
}

// pickHalfDay finds AM or PM in a cell of its own.
func (d *detector) pickHalfDay() {
	c := &d.clock
	for n := range d.evidence {
		if c.Clock > 0 && n >= c.Clock && d.evidence[n].kind == cell.HalfDay && c.HalfDay == 0 {
			c.HalfDay = n + 1
		}
	}
}
