package plan

import (
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// value reads one cell. Where it holds no usable value the result is NaN and
// the reason is counted.
func (r *Parser) value(c *Column, cells [][]byte, t *table.Tallies, line int) float64 {
	b, u := cells[c.Number-1], c.Unit
	v, ok := parse.Number(b, r.Plan.Decimal)
	if !ok || len(b) > longWord || len(r.Plan.Sentinels) > 0 {
		var reason string
		if v, u, reason = r.odd(c, b, v, ok); reason != "" {
			t.Count(reason, wordFor(reason, b), line)
			return math.NaN()
		}
	}
	if math.Abs(v) >= 1e30 || (c.Content == layout.HoldsTemperature && cell.IsSentinelNumber(v)) {
		t.Count(table.MissNumber, b[:min(len(b), longWord)], line)
		return math.NaN()
	}
	if s := beside(c.UnitAt, cells); len(s) > 0 {
		if u = r.unitNamed(s, c); u == nil {
			t.Count(table.MissUnit, s[:min(len(s), longWord)], line)
			return math.NaN()
		}
	}
	if (c.Low != nil && v <= *c.Low) || (c.High != nil && v >= *c.High) {
		t.Count(table.MissLimit, nil, line)
		return math.NaN()
	}
	if s := beside(c.SignAt, cells); len(s) > 0 && (s[0]|0x20 == 's' || s[0]|0x20 == 'w') {
		v = -v
	}
	si := u.SI(v)
	if c.Content == layout.HoldsDifference {
		si = u.Difference(v)
	}
	if !table.Measurable(c.Content, si) {
		t.Count(table.MissRange, b[:min(len(b), longWord)], line)
		return math.NaN()
	}
	return si
}

// longWord is the length of a word that tells why a cell has no value; a
// number that is longer may be two.
const longWord = 20

// wordFor returns what of a cell tells why it has no value.
func wordFor(reason string, b []byte) []byte {
	switch reason {
	case table.MissEmpty:
		return nil
	case table.MissWord:
		return b
	}
	return b[:min(len(b), longWord)]
}

// beside returns the cell of a column that belongs to another; nil where there
// is none.
func beside(number int, cells [][]byte) []byte {
	if number == 0 || number > len(cells) {
		return nil
	}
	return cells[number-1]
}

// odd looks closer at a cell that is no plain number (ok is false), or that may
// mean something else than it says. It returns the number and its unit, or why
// there is none.
func (r *Parser) odd(c *Column, b []byte, v float64, ok bool) (float64, *unit.Unit, string) {
	u := c.Unit
	sentinel := len(r.Plan.Sentinels) > 0 && r.Plan.Sentinels[strings.ToLower(string(b))]
	switch {
	case len(b) == 0:
		return v, u, table.MissEmpty
	case ok && len(b) > longWord && len(b) > c.Longest && c.Longest > 0:
		return v, u, table.MissGlued
	case sentinel || !ok && cell.IsNoValue(b):
		return v, u, table.MissWord
	case ok:
		return v, u, ""
	}
	return r.oddText(c, b)
}

// oddText reads a number with its unit or its side behind it, or an angle.
func (r *Parser) oddText(c *Column, b []byte) (float64, *unit.Unit, string) {
	if c.Mangled {
		if v, ok := parse.DayMonth(b); ok {
			return v, c.Unit, ""
		}
	}
	if c.Grouped {
		if v, ok := parse.Grouped(b, r.Plan.Decimal); ok {
			return v, c.Unit, ""
		}
	}
	if c.OtherMark {
		if v, ok := parse.OtherMark(b, r.Plan.Decimal); ok {
			return v, c.Unit, ""
		}
	}
	v, rest, ok := parse.NumberPrefix(b, r.Plan.Decimal)
	angle := c.Unit.Kind() == quantity.KindAngle
	if ok && angle && len(rest) == 1 {
		switch rest[0] {
		case 'S', 'W':
			return -v, c.Unit, ""
		case 'N', 'E':
			return v, c.Unit, ""
		}
	}
	if ok {
		if u := r.unitNamed(rest, c); u != nil {
			return v, u, ""
		}
	}
	if angle {
		if a, whole := parse.Degrees(b, r.Plan.Decimal); whole {
			return a, unit.Degree, ""
		}
	}
	return v, c.Unit, table.MissText
}

// unitNamed looks up a unit written in a cell; nil if it is none that the
// column can be in.
func (r *Parser) unitNamed(b []byte, c *Column) *unit.Unit {
	u, seen := r.units[string(b)]
	if !seen {
		u, _ = unit.LookUp(cell.Decode(b))
		if len(r.units) < 100 {
			r.units[string(b)] = u
		}
	}
	if u == nil || (u.Kind() != c.Unit.Kind() && !(c.Content == layout.HoldsHumidity && c.Content.Takes(u.Kind()))) {
		return nil
	}
	return u
}
