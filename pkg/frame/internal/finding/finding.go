// Package finding says in the words of a title what a picture of columns shows,
// computed from their values.
package finding

import (
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Part is some rows with the name of what they share, empty for all.
type Part struct {
	Name string
	Rows []int
}

// Parts are groups of rows with their names.
func Parts(names []string, groups [][]int) []Part {
	all := make([]Part, len(groups))
	for i, rows := range groups {
		all[i] = Part{names[i], rows}
	}
	return all
}

// mostNamed is how many groups a title tells one by one.
const mostNamed = 3

// Medians says the median of a column in each part, or between which medians
// they lie where the parts are many; nothing where there is no value.
func Medians(c *vector.Column, parts []Part) string {
	var named []Part
	var middle []float64
	for _, p := range parts {
		if m := series.Quantile(vector.Present(c.Shown(), p.Rows), 0.5); !math.IsNaN(m) {
			named, middle = append(named, p), append(middle, m)
		}
	}
	if len(middle) == 0 {
		return ""
	}
	say := writer(c)
	told := func(i int) string { return withName(say(middle[i])+spaced(c), named[i].Name) }
	if len(middle) > mostNamed {
		return ": medians from " + told(slices.Index(middle, slices.Min(middle))) + " to " + told(slices.Index(middle, slices.Max(middle)))
	}
	all := make([]string, len(middle))
	for i := range all {
		all[i] = told(i)
	}
	return ": median " + strings.Join(all, ", ")
}

// Ranges says between what a column lies in each part, or in all where the parts
// are many; nothing where there is no value.
func Ranges(c *vector.Column, parts []Part) string {
	if len(parts) > mostNamed {
		parts = []Part{{Rows: vector.UpTo(c.Len())}}
	}
	var all []string
	for _, p := range parts {
		if text := Between(c, p.Rows); text != "" {
			all = append(all, withName(text, p.Name))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return ": " + strings.Join(all, ", ")
}

// Between says the least and the greatest value in some rows.
func Between(c *vector.Column, rows []int) string {
	lo, hi := vector.Span(vector.Present(c.Shown(), rows))
	if math.IsNaN(lo) {
		return ""
	}
	say := writer(c)
	if say(lo) == say(hi) {
		return say(lo) + spaced(c)
	}
	return say(lo) + " to " + say(hi) + spaced(c)
}

// writer writes shown values of a column with three figures of the greatest.
func writer(c *vector.Column) func(float64) string {
	lo, hi := vector.Span(c.Shown())
	decimals := vector.Decimals(math.Max(math.Abs(lo), math.Abs(hi)), 3)
	return func(v float64) string { return strings.Replace(vector.Fixed(v, decimals), "-", "−", 1) }
}

func spaced(c *vector.Column) string {
	if c.Unit.Spelling() == "" {
		return ""
	}
	return " " + c.Unit.Symbol()
}

func withName(text, name string) string {
	if name == "" {
		return text
	}
	return text + " (" + name + ")"
}

// Along says over what a line runs: "over speed", "since opening".
func Along(x string) string {
	if strings.HasPrefix(x, "since ") {
		return " " + x
	}
	return " over " + x
}
