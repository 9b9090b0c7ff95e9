package notebook

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
)

// plainFloat returns a cell's number, if it is one without a way of its own to be
// written.
func plainFloat(cell any) (x float64, plain bool) {
	v, ok := cell.(reflect.Value)
	if !ok {
		v = reflect.ValueOf(cell)
	}
	for v.Kind() == reflect.Interface && !v.IsNil() {
		v = v.Elem()
	}
	if !v.IsValid() || !v.CanFloat() || knowsItself(v) {
		return 0, false
	}
	return v.Float(), true
}

// formats returns for each column how its plain numbers are written: all with the
// same decimals, so many that the greatest has four figures.
func (g Grid) formats() []func(float64) string {
	formats := make([]func(float64) string, len(g.Header))
	for j := range formats {
		var column []float64
		for _, row := range g.Rows[:min(len(g.Rows), maxRows)] {
			if j < len(row) {
				if x, plain := plainFloat(row[j]); plain {
					column = append(column, x)
				}
			}
		}
		formats[j] = sameDecimals(column)
	}
	return formats
}

// sameDecimals writes numbers with four figures, or with six where they are too
// far apart for the same decimals: below the least there would be none but zeros.
func sameDecimals(column []float64) func(float64) string {
	least, most, whole := math.Inf(1), 0.0, true
	for _, x := range column {
		a := math.Abs(x)
		if math.IsNaN(a) || math.IsInf(a, 0) || a == 0 {
			continue
		}
		least, most, whole = min(least, a), max(most, a), whole && x == math.Trunc(x)
	}
	decimals := max(0, 3-int(math.Floor(math.Log10(most))))
	switch {
	case most == 0 || whole && most < 1e15:
		return func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	case decimals > 6 || most >= 1e7 || least < math.Pow10(1-decimals):
		return func(x float64) string { return fmt.Sprintf("%.6g", x) }
	}
	return func(x float64) string {
		s := strconv.FormatFloat(x, 'f', decimals, 64)
		if math.Abs(x) < math.Pow10(-decimals)/2 {
			return strconv.FormatFloat(0, 'f', decimals, 64) // no −0.0
		}
		return s
	}
}
