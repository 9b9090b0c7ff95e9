package vector

import (
	"cmp"
	"fmt"
)

// Describe says what a column holds: its unit, how many rows it has and how many
// without a value, and its range, or some of its texts.
func (c *Column) Describe() string {
	out := fmt.Sprintf("%s: %s", c.Label(), Count(c.Len(), "row"))
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
	out += fmt.Sprintf("; %s: ", Count(len(used), "text"))
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
