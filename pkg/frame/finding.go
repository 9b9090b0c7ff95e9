package frame

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// mostNamed is how many groups a title tells one by one.
const mostNamed = 3

// medians says the median of a column in each part, or between which medians
// they lie where the parts are many; nothing where there is no value.
func medians(c *vector.Column, parts []part) string {
	var named []part
	var middle []float64
	for _, p := range parts {
		if m := series.Quantile(vector.Present(c.Shown(), p.rows), 0.5); !math.IsNaN(m) {
			named, middle = append(named, p), append(middle, m)
		}
	}
	if len(middle) == 0 {
		return ""
	}
	say := writer(c)
	told := func(i int) string { return withName(say(middle[i])+spaced(c), named[i].name) }
	if len(middle) > mostNamed {
		return ": medians from " + told(slices.Index(middle, slices.Min(middle))) + " to " + told(slices.Index(middle, slices.Max(middle)))
	}
	all := make([]string, len(middle))
	for i := range all {
		all[i] = told(i)
	}
	return ": median " + strings.Join(all, ", ")
}

// ranges says between what a column lies in each part, or in all where the parts
// are many; nothing where there is no value.
func ranges(c *vector.Column, parts []part) string {
	if len(parts) > mostNamed {
		parts = []part{{rows: upTo(c.Len())}}
	}
	var all []string
	for _, p := range parts {
		if text := between(c, p.rows); text != "" {
			all = append(all, withName(text, p.name))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return ": " + strings.Join(all, ", ")
}

// between says the least and the greatest value in some rows.
func between(c *vector.Column, rows []int) string {
	lo, hi := span(vector.Present(c.Shown(), rows))
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
	lo, hi := span(c.Shown())
	digits := 0
	if most := math.Max(math.Abs(lo), math.Abs(hi)); most > 0 {
		digits = min(max(0, 2-int(math.Floor(math.Log10(most)))), 6)
	}
	return func(v float64) string {
		text := strconv.FormatFloat(v, 'f', digits, 64)
		if strings.Trim(text, "-0.") == "" {
			text = strings.TrimPrefix(text, "-") // no −0.0
		}
		return strings.Replace(text, "-", "−", 1)
	}
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

// along says over what a line runs: "over speed", "since opening".
func along(x string) string {
	if strings.HasPrefix(x, "since ") {
		return " " + x
	}
	return " over " + x
}
