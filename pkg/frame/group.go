package frame

import (
	"fmt"
	"math"
	"slices"
)

// Grouped is a frame whose rows are divided by the values of some columns.
type Grouped struct {
	frame *Frame
	keys  []string
	// groups holds the rows of each group; a group stands where its first row
	// stands, and its rows keep their order.
	groups [][]int
}

// Group divides the rows: those with the same values in all named columns are
// one group, without a name all rows are. Missing is a value of its own, so
// that no row is lost. Groups are in the order in which they first occur. A
// column that does not exist is an error of the frames that are made of the
// groups.
func (f *Frame) Group(columns ...string) *Grouped {
	g := &Grouped{frame: f, keys: columns}
	ids := make([]int, f.rows)
	n := min(1, f.rows)
	for _, name := range columns {
		c, err := f.column(name)
		if err != nil {
			g.frame = f.fail("Group", err)
			return g
		}
		n = divide(ids, c)
	}
	g.groups = make([][]int, n)
	for row, id := range ids {
		g.groups[id] = append(g.groups[id], row)
	}
	return g
}

// divide splits groups further by a column and returns how many there are.
func divide(ids []int, c *column) int {
	type part struct {
		id  int
		key any
	}
	known := map[part]int{}
	for row := range ids {
		p := part{id: ids[row], key: c.key(row)}
		id, ok := known[p]
		if !ok {
			id = len(known)
			known[p] = id
		}
		ids[row] = id
	}
	return len(known)
}

// key is what two rows with the same value have in common; nil is missing.
func (c *column) key(row int) any {
	switch {
	case !c.has(row):
		return nil
	case c.kind == Text:
		return c.levels[c.code[row]]
	case c.kind == Instant:
		return c.at[row].UnixNano()
	}
	return c.num[row] + 0 // −0 is 0
}

// Len returns the number of groups.
func (g *Grouped) Len() int { return len(g.groups) }

// Summarise returns a frame with one row for each group: the columns that it
// was divided by, then the summaries. Missing values are left out of each
// summary and counted in the notes. The frame holds an error where a summary
// makes no sense for its column, such as a sum of temperatures.
func (g *Grouped) Summarise(summaries ...Summary) *Frame {
	f := g.frame
	if f.err != nil {
		return f
	}
	first := make([]int, len(g.groups))
	for i, rows := range g.groups {
		first[i] = rows[0]
	}
	result := f.Select(g.keys...).take(first)
	if len(g.keys) == 0 {
		result.rows = len(g.groups)
	}
	for _, s := range summaries {
		of, err := s.bind(f)
		if err != nil {
			return f.fail("Summarise", err)
		}
		v := make([]float64, len(g.groups))
		for i, rows := range g.groups {
			v[i] = of.value(rows)
		}
		c := numbers(s.name(), of.unit, v)
		c.minSec = of.minSec
		result = result.with("Summarise", c, of.notes...)
	}
	return result
}

// Relative returns the frame with one more column: for each row how far the
// summarised column lies above the summary of the row's group. With a median
// it shows who is odd. The frame holds an error as with [Grouped.Summarise], or
// where the summary is not of the column's own kind.
func (g *Grouped) Relative(name string, s Summary) *Frame {
	f := g.frame
	if f.err != nil {
		return f
	}
	of, err := s.bind(f)
	if err != nil {
		return f.fail("Relative", err)
	}
	c, err := f.number(s.column)
	if err != nil {
		return f.fail("Relative", err)
	}
	if of.unit.Kind() != c.unit.Kind() {
		return f.fail("Relative", fmt.Errorf("the %s is a %s, %s a %s", s.name(), of.unit.Kind(), s.column, c.unit.Kind()))
	}
	v := make([]float64, f.rows)
	for _, rows := range g.groups {
		centre := of.value(rows)
		for _, i := range rows {
			v[i] = c.num[i] - centre
		}
	}
	return f.with("Relative", numbers(name, differenceUnit(c.unit), v), of.notes...)
}

// Smooth returns the frame with one more column: the mean of the column over
// the rows of the same group whose place along another column, such as "since
// start", lies within half a width on either side, both ends included. A
// missing value stays missing; its neighbours' windows go on without it. The
// rows of a group must ascend along that column; the frame holds an error where
// they don't, a value of it is missing, or the width has not its unit.
func (g *Grouped) Smooth(name, column, along, width string) *Frame {
	f := g.frame
	c, err := f.number(column)
	if err != nil {
		return f.fail("Smooth", err)
	}
	x, err := f.number(along)
	if err != nil {
		return f.fail("Smooth", err)
	}
	w, err := x.parse(width)
	if err != nil {
		return f.fail("Smooth", err)
	}
	v := make([]float64, f.rows)
	for _, rows := range g.groups {
		if err := ascending(rows, x); err != nil {
			return f.fail("Smooth", err)
		}
		from, to := 0, 0
		for k, i := range rows {
			// A billionth of the width forgives the rounding of times.
			for x.num[rows[from]] < x.num[i]-w/2*(1+1e-9) {
				from++
			}
			for to = max(to, k); to < len(rows) && x.num[rows[to]] <= x.num[i]+w/2*(1+1e-9); to++ {
			}
			v[i] = math.NaN()
			if c.has(i) {
				v[i] = mean(present(c.num, rows[from:to]))
			}
		}
	}
	d := numbers(name, c.unit, v)
	d.minSec = c.minSec
	return f.with("Smooth", d)
}

// ascending fails where the rows do not ascend along a column.
func ascending(rows []int, x *column) error {
	for k, i := range rows {
		if !x.has(i) {
			return fmt.Errorf("column %q has no value in row %d; filter by Has(%q) first", x.name, i+1, x.name)
		}
		if k > 0 && x.num[i] < x.num[rows[k-1]] {
			return fmt.Errorf("column %q does not ascend within a group (row %d); group by the drive, or sort first", x.name, i+1)
		}
	}
	return nil
}

// present returns the present values of some rows.
func present(v []float64, rows []int) []float64 {
	all := make([]float64, 0, len(rows))
	for _, i := range rows {
		if !math.IsNaN(v[i]) {
			all = append(all, v[i])
		}
	}
	return slices.Clip(all)
}
