package vector

import "math"

// Extremes returns the rows with the least and the greatest value, and whether
// there is one; a column of texts has none.
func (c *Column) Extremes() (least, most int, ok bool) {
	if c.Kind == Text {
		return 0, 0, false
	}
	for i := range c.Len() {
		switch {
		case !c.Has(i):
		case !ok:
			least, most, ok = i, i, true
		case c.Compare(i, least, 1) < 0:
			least = i
		case c.Compare(most, i, 1) < 0:
			most = i
		}
	}
	return least, most, ok
}

// Used lists the texts of a column that occur, in the order of its levels.
func (c *Column) Used() (used []string) {
	occurs := make([]bool, len(c.Levels))
	for _, code := range c.Code {
		if code >= 0 {
			occurs[code] = true
		}
	}
	for code, level := range c.Levels {
		if occurs[code] {
			used = append(used, level)
		}
	}
	return used
}

// Span returns the least and the greatest present value; NaN for none.
func Span(v []float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range v {
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	if lo > hi {
		return math.NaN(), math.NaN()
	}
	return lo, hi
}
