package plan

import (
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// value reads one cell. Where it holds no usable value the result is NaN and
// the reason is counted.
func (r *Parser) value(c *Column, cells [][]byte, t *table.Tallies, line int) float64 {
	b := cells[c.Number-1]
	if len(b) == 0 {
		t.Count(table.MissEmpty, nil, line)
		return math.NaN()
	}
	u := c.Unit
	v, ok := parse.Number(b, r.Plan.Decimal)
	if ok && len(b) > 20 && len(b) > c.Longest && c.Longest > 0 {
		t.Count(table.MissGlued, b[:20], line)
		return math.NaN()
	}
	if !ok {
		var rest []byte
		v, rest, ok = parse.NumberPrefix(b, r.Plan.Decimal)
		switch {
		case cell.IsNoValue(b) || r.Plan.Sentinels[strings.ToLower(string(b))]:
			t.Count(table.MissWord, b, line)
			return math.NaN()
		case ok && c.Unit.Content == layout.HoldsAngle && (string(rest) == "S" || string(rest) == "W"):
			v = -v
		case ok && c.Unit.Content == layout.HoldsAngle && (string(rest) == "N" || string(rest) == "E"):
		case ok:
			u = r.unitNamed(rest, c)
		}
		if c.Unit.Content == layout.HoldsAngle && (!ok || u == nil) {
			if a, whole := parse.Degrees(b, r.Plan.Decimal); whole {
				v, u, ok = a, layout.Degree, true
			}
		}
		if !ok || u == nil {
			t.Count(table.MissText, b[:min(len(b), 20)], line)
			return math.NaN()
		}
	}
	if len(r.Plan.Sentinels) > 0 && r.Plan.Sentinels[strings.ToLower(string(b))] {
		t.Count(table.MissWord, b, line)
		return math.NaN()
	}
	if math.Abs(v) >= 1e30 || (c.Content == layout.HoldsTemperature && cell.IsSentinelNumber(v)) {
		t.Count(table.MissNumber, b[:min(len(b), 20)], line)
		return math.NaN()
	}
	if c.UnitAt > 0 && c.UnitAt <= len(cells) && len(cells[c.UnitAt-1]) > 0 {
		if u = r.unitNamed(cells[c.UnitAt-1], c); u == nil {
			t.Count(table.MissUnit, cells[c.UnitAt-1][:min(20, len(cells[c.UnitAt-1]))], line)
			return math.NaN()
		}
	}
	if (c.Low != nil && v <= *c.Low) || (c.High != nil && v >= *c.High) {
		t.Count(table.MissLimit, nil, line)
		return math.NaN()
	}
	if c.SignAt > 0 && c.SignAt <= len(cells) {
		if s := cells[c.SignAt-1]; len(s) > 0 && (s[0]|0x20 == 's' || s[0]|0x20 == 'w') {
			v = -v
		}
	}
	si := u.Si(v)
	if c.Content == layout.HoldsDifference {
		si = v * u.Factor
	}
	if !table.Measurable(c.Content, si) {
		t.Count(table.MissRange, b[:min(len(b), 20)], line)
		return math.NaN()
	}
	return si
}

// unitNamed looks up a unit written in a cell; nil if it is none that the
// column can be in.
func (r *Parser) unitNamed(b []byte, c *Column) *layout.Unit {
	u, seen := r.units[string(b)]
	if !seen {
		u, _ = layout.LookUpUnit(cell.Decode(b))
		if len(r.units) < 100 {
			r.units[string(b)] = u
		}
	}
	if u == nil || (u != c.Unit && u.Content != c.Unit.Content && !(c.Content == layout.HoldsHumidity && u.Fits(c.Content))) {
		return nil
	}
	return u
}
