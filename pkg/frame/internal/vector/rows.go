package vector

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"
)

// Key is what two rows with the same value have in common; nil is missing.
func (c *Column) Key(row int) any {
	switch {
	case !c.Has(row):
		return nil
	case c.Kind == Text:
		return c.Levels[c.Code[row]]
	case c.Kind == Instant:
		return c.At[row].UnixNano()
	}
	return c.Num[row] + 0 // −0 is 0
}

// Present returns the present values of some rows.
func Present(v []float64, rows []int) []float64 {
	all := make([]float64, 0, len(rows))
	for _, i := range rows {
		if !math.IsNaN(v[i]) {
			all = append(all, v[i])
		}
	}
	return slices.Clip(all)
}

// Mean is the arithmetic mean, NaN of nothing.
func Mean(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return stat.Mean(x, nil)
}

// Compare orders two rows of a column, missing last whatever the direction.
func (c *Column) Compare(a, b, direction int) int {
	switch hasA, hasB := c.Has(a), c.Has(b); {
	case !hasA && !hasB:
		return 0
	case !hasA:
		return 1
	case !hasB:
		return -1
	}
	switch c.Kind {
	case Text:
		return direction * cmp.Compare(c.Levels[c.Code[a]], c.Levels[c.Code[b]])
	case Instant:
		return direction * c.At[a].Compare(c.At[b])
	}
	return direction * cmp.Compare(c.Num[a], c.Num[b])
}

// Bin returns which multiple of the width a value lies on or above. One that
// rounding left less than a thousand-millionth of a width below a multiple counts
// as on it.
func Bin(v, width float64) float64 { return math.Floor(v/width + 1e-9) }

// Begins returns for each bin the multiple of the width that it begins at.
func (c *Column) Begins(bins [][]int, width float64) *Column {
	d := *c
	d.Num = make([]float64, len(bins))
	for k, rows := range bins {
		d.Num[k] = width * Bin(c.Num[rows[0]], width)
	}
	return &d
}

// Merge makes one value of the values of each bin.
func (c *Column) Merge(bins [][]int) *Column {
	d := *c
	switch c.Kind {
	case Number:
		d.Num = make([]float64, len(bins))
		for k, rows := range bins {
			v := Present(c.Num, rows)
			d.Num[k] = Mean(v)
			if c.Additive && len(v) > 0 {
				d.Num[k] *= float64(len(v))
			}
		}
	case Text:
		d.Code = make([]int32, len(bins))
		for k, rows := range bins {
			d.Code[k] = c.Code[rows[0]]
			for _, i := range rows {
				if d.Code[k] < 0 {
					d.Code[k] = c.Code[i]
				}
			}
		}
	case Instant:
		d.At = make([]time.Time, len(bins))
		for k, rows := range bins {
			d.At[k] = c.At[rows[0]]
		}
	}
	return &d
}

// Fill puts the values of another column from a row on in place of missing
// ones; c is a fresh copy.
func (c *Column) Fill(o *Column, from int) *Column {
	switch c.Kind {
	case Number:
		copy(c.Num[from:], o.Num[from:])
	case Instant:
		copy(c.At[from:], o.At[from:])
	case Text:
		known := map[string]int32{}
		c.Levels = slices.Clone(c.Levels)
		for k, s := range c.Levels {
			known[s] = int32(k)
		}
		to := map[int32]int32{-1: -1}
		for k, s := range o.Levels {
			to[int32(k)] = c.Level(s, known)
		}
		for i := from; i < len(c.Code); i++ {
			c.Code[i] = to[o.Code[i]]
		}
	}
	return c
}

// UpTo lists the numbers of the first n rows.
func UpTo(n int) []int {
	rows := make([]int, n)
	for i := range rows {
		rows[i] = i
	}
	return rows
}
