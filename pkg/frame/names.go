package frame

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// takesFile are the methods that are given the name of a file.
var takesFile = []string{"WriteCSV", "WriteParquet"}

// NamesFor returns the names of the columns, which a text may be that a method is
// given; of those that take a file, none. A notebook completes them between
// quotes.
func (f *Frame) NamesFor(method string) []string {
	if slices.Contains(takesFile, method) {
		return nil
	}
	return f.Names()
}

// DescribeName says what a column holds: its unit, how many rows it has and how
// many without a value, and its range, or some of its texts. It says nothing where
// there is no such column.
func (f *Frame) DescribeName(name string) string {
	c, err := f.column(name)
	if err != nil {
		return ""
	}
	out := fmt.Sprintf("%s: %s", c.Label(), vector.Count(f.rows, "row"))
	if m := c.Missing(); m > 0 {
		out += fmt.Sprintf(", %d missing", m)
	}
	if least, most, ok := c.Extremes(); ok {
		text := c.Writer()
		return out + fmt.Sprintf("; %s to %s", text(least), text(most))
	}
	used := c.Used()
	if len(used) == 0 {
		return out
	}
	out += fmt.Sprintf("; %s: ", vector.Count(len(used), "text"))
	const most = 8
	for i, s := range used[:min(most, len(used))] {
		if i > 0 {
			out += ", "
		}
		out += cmp.Or(s, "(empty)")
	}
	if len(used) > most {
		out += ", …"
	}
	return out
}
