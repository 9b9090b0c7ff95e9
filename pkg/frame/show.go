package frame

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
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
		g.Header = append(g.Header, c.Label())
		text := c.Writer()
		for i := range n {
			g.Rows[i] = append(g.Rows[i], cell(text(i)))
		}
		if m := c.Missing(); m > 0 {
			without = append(without, fmt.Sprintf("%s in %d", c.Name, m))
		}
	}
	var notes []string
	if len(without) > 0 {
		notes = append(notes, fmt.Sprintf("missing, of %s: %s", vector.Count(f.rows, "row"), strings.Join(without, ", ")))
	}
	g.Note = strings.Join(append(notes, f.notes...), "\n")
	return g
}
