package frame

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// shownRows is how many rows of a long frame are shown.
const shownRows = 20

// cell is a text in a table.
type cell string

func (c cell) String() string { return string(c) }

// Display returns the frame as a table with units in its header, empty cells
// for missing values, and below it how many are missing and the notes. A frame
// that holds an error shows that.
func (f *Frame) Display() notebook.Bundle {
	if f.err != nil {
		return notebook.TextBundle(f.err.Error())
	}
	return f.grid().Display()
}

// String returns the table as plain text.
func (f *Frame) String() string { return f.Display().Text() }

func (f *Frame) grid() notebook.Grid {
	n := min(f.rows, shownRows)
	g := notebook.Grid{Total: f.rows, Rows: make([][]any, n)}
	var without []string
	for _, c := range f.columns {
		g.Header = append(g.Header, c.label())
		text := c.writer()
		for i := range n {
			g.Rows[i] = append(g.Rows[i], cell(text(i)))
		}
		if m := c.missing(); m > 0 {
			without = append(without, fmt.Sprintf("%s in %d", c.name, m))
		}
	}
	var notes []string
	if len(without) > 0 {
		notes = append(notes, fmt.Sprintf("missing, of %s: %s", count(f.rows, "row"), strings.Join(without, ", ")))
	}
	g.Note = strings.Join(append(notes, f.notes...), "\n")
	return g
}

// writer returns how a column's cells are written: all with the same decimals.
func (c *column) writer() func(row int) string {
	switch {
	case c.kind == Text:
		return func(row int) string { s, _ := c.text(row); return s }
	case c.kind == Instant:
		return func(row int) string {
			if !c.has(row) {
				return ""
			}
			return c.at[row].Format(time.DateTime)
		}
	case c.minSec:
		return func(row int) string { return clockText(c.num[row]) }
	}
	d := c.decimals()
	return func(row int) string {
		if !c.has(row) {
			return ""
		}
		s := strconv.FormatFloat(c.unit.FromSI(c.num[row]), 'f', d, 64)
		if strings.Trim(s, "-0.") == "" {
			s = strings.TrimPrefix(s, "-") // no −0.0
		}
		return s
	}
}

// decimals are as many as give the greatest value four digits, fewer where all
// values are whole.
func (c *column) decimals() int {
	most, whole := 0.0, true
	for i := range c.num {
		if v := c.unit.FromSI(c.num[i]); c.has(i) && !math.IsInf(v, 0) {
			most, whole = math.Max(most, math.Abs(v)), whole && v == math.Round(v)
		}
	}
	if whole {
		return 0
	}
	if c.unit.Kind() == quantity.KindAngle {
		return 5 // a metre on the road
	}
	return min(max(0, 3-int(math.Floor(math.Log10(most)))), 6)
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
