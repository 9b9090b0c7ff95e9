package vector

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Writer returns how a column's cells are written: all with the same decimals.
func (c *Column) Writer() func(row int) string {
	switch {
	case c.Kind == Text:
		return func(row int) string { s, _ := c.Text(row); return s }
	case c.Kind == Instant:
		return func(row int) string {
			if !c.Has(row) {
				return ""
			}
			return c.At[row].Format(time.DateTime)
		}
	case c.MinSec:
		return func(row int) string { return clockText(c.Num[row]) }
	}
	d := c.decimals()
	return func(row int) string {
		if !c.Has(row) {
			return ""
		}
		return Fixed(c.Unit.FromSI(c.Num[row]), d)
	}
}

// Fixed writes a number with so many decimals, and no sign before a zero.
func Fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// Decimals are as many as give a number so many figures, and at most six.
func Decimals(v float64, figures int) int {
	if !(v > 0) {
		return 0
	}
	return min(max(0, figures-1-int(math.Floor(math.Log10(v)))), 6)
}

// decimals are as many as give the greatest value four digits, fewer where all
// values are whole.
func (c *Column) decimals() int {
	most, whole := 0.0, true
	for i := range c.Num {
		if v := c.Unit.FromSI(c.Num[i]); c.Has(i) && !math.IsInf(v, 0) {
			most, whole = math.Max(most, math.Abs(v)), whole && v == math.Round(v)
		}
	}
	if whole {
		return 0
	}
	if c.Unit.Kind() == quantity.KindAngle {
		return 5 // a metre on the road
	}
	return Decimals(most, 4)
}

// clockText writes seconds as minutes and seconds, 7:05.
func clockText(s float64) string {
	if math.IsNaN(s) || math.IsInf(s, 0) {
		return ""
	}
	sign, whole := "", int64(math.Round(math.Abs(s)))
	if s < 0 && whole > 0 {
		sign = "−"
	}
	const minute = 60
	return fmt.Sprintf("%s%d:%02d", sign, whole/minute, whole%minute)
}

// Count writes a number of things.
func Count(n int, what string) string {
	if n != 1 && !strings.HasSuffix(what, "s") {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// MissingNote says how many values a step had to do without, nothing for none.
func MissingNote(step string, c *Column) []string {
	n := c.Missing()
	if n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s: %s of %s missing, of %d", step, Count(n, "value"), c.Name, c.Len())}
}
