package frame

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Resample returns a frame with one row for each step of a column, such as
// "since start" in steps of "10 s", within each group: rows whose values fall
// into the same step, from a multiple of it (included) to the next (not
// included), become one. Groups and steps keep the order in which they first
// occur.
//
// The column holds the beginning of each step, and so does the instant that
// belongs to it. Numbers are averaged over the values that are present, and
// missing where none is; what belongs to its row alone, such as its duration,
// is added up instead. Of texts the first present one is taken. The frame holds
// an error where there is no such column, the step has not its unit or is not
// positive, and where a value of the column is missing.
func (g *Grouped) Resample(column, step string) *Frame {
	f := g.frame
	x, err := f.number(column)
	if err != nil {
		return f.fail("Resample", err)
	}
	width, err := x.Parse(step)
	if err == nil && !(width > 0) {
		err = fmt.Errorf("a step of %s is not possible", step)
	}
	if err == nil && x.Missing() > 0 {
		err = fmt.Errorf("column %q has no value in %s; filter by Has(%q) first", column, vector.Count(x.Missing(), "row"), column)
	}
	if err != nil {
		return f.fail("Resample", err)
	}
	bins := binsOf(g.groups, x, width)
	result := &Frame{rows: len(bins), notes: f.notes}
	for _, c := range f.columns {
		if c == x {
			c = x.Begins(bins, width)
		} else {
			c = c.Merge(bins)
		}
		if err := result.add(c); err != nil {
			return f.fail("Resample", err)
		}
	}
	return result
}

// binsOf divides each group's rows by the multiple of width that they begin at.
func binsOf(groups [][]int, x *vector.Column, width float64) (bins [][]int) {
	for _, rows := range groups {
		known := map[float64]int{}
		for _, i := range rows {
			at := vector.Bin(x.Num[i], width)
			k, ok := known[at]
			if !ok {
				k = len(bins)
				known[at], bins = k, append(bins, nil)
			}
			bins[k] = append(bins[k], i)
		}
	}
	return bins
}
