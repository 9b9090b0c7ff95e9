package frame

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
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
func divide(ids []int, c *vector.Column) int {
	type part struct {
		id  int
		key any
	}
	known := map[part]int{}
	for row := range ids {
		p := part{id: ids[row], key: c.Key(row)}
		id, ok := known[p]
		if !ok {
			id = len(known)
			known[p] = id
		}
		ids[row] = id
	}
	return len(known)
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
	for _, s := range summaries {
		of, err := s.bind(f)
		if err != nil {
			return f.fail("Summarise", err)
		}
		v := make([]float64, len(g.groups))
		for i, rows := range g.groups {
			v[i] = of.value(rows)
		}
		c := vector.Numbers(s.name(), of.unit, v)
		c.MinSec = of.minSec
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
	if of.unit.Kind() != c.Unit.Kind() {
		return f.fail("Relative", fmt.Errorf("the %s is a %s, %s a %s", s.name(), of.unit.Kind(), s.column, c.Unit.Kind()))
	}
	v := make([]float64, f.rows)
	for _, rows := range g.groups {
		centre := of.value(rows)
		for _, i := range rows {
			v[i] = c.Num[i] - centre
		}
	}
	return f.with("Relative", vector.Numbers(name, vector.DifferenceUnit(c.Unit), v), of.notes...)
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
	w, err := x.Parse(width)
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
			for x.Num[rows[from]] < x.Num[i]-w/2*(1+1e-9) {
				from++
			}
			for to = max(to, k); to < len(rows) && x.Num[rows[to]] <= x.Num[i]+w/2*(1+1e-9); to++ {
			}
			v[i] = math.NaN()
			if c.Has(i) {
				v[i] = vector.Mean(vector.Present(c.Num, rows[from:to]))
			}
		}
	}
	d := vector.Numbers(name, c.Unit, v)
	d.MinSec = c.MinSec
	return f.with("Smooth", d)
}

// ascending fails where the rows do not ascend along a column.
func ascending(rows []int, x *vector.Column) error {
	for k, i := range rows {
		if !x.Has(i) {
			return fmt.Errorf("column %q has no value in row %d; filter by Has(%q) first", x.Name, i+1, x.Name)
		}
		if k > 0 && x.Num[i] < x.Num[rows[k-1]] {
			return fmt.Errorf("column %q does not ascend within a group (row %d); group by the drive, or sort first", x.Name, i+1)
		}
	}
	return nil
}
