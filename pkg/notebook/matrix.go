package notebook

import (
	"fmt"
	"strings"
)

// matrix is what gonum's mat.Matrix asks for, without its transpose.
type matrix interface {
	Dims() (rows, columns int)
	At(i, j int) float64
}

const maxMatrix = 12 // rows or columns shown of a larger matrix

// formatMatrix writes a matrix in rows, a large one by its corners.
func formatMatrix(m matrix) Bundle {
	rows, columns := m.Dims()
	ri, ci := shownIndices(rows), shownIndices(columns)
	cells := make([][]string, 0, len(ri))
	width := 1
	for _, i := range ri {
		line := make([]string, 0, len(ci))
		for _, j := range ci {
			s := "…"
			if i >= 0 && j >= 0 {
				s = fmt.Sprintf("%.5g", m.At(i, j))
			}
			width = max(width, len([]rune(s)))
			line = append(line, s)
		}
		cells = append(cells, line)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d × %d matrix", rows, columns)
	for _, line := range cells {
		b.WriteString("\n[")
		for j, s := range line {
			if j > 0 {
				b.WriteString("  ")
			}
			b.WriteString(strings.Repeat(" ", width-len([]rune(s))) + s)
		}
		b.WriteString("]")
	}
	return TextBundle(b.String())
}

// shownIndices lists the indices to show; -1 stands for those left out.
func shownIndices(n int) []int {
	var list []int
	for i := range n {
		switch {
		case n <= maxMatrix || i < maxMatrix/2 || i >= n-maxMatrix/2:
			list = append(list, i)
		case i == maxMatrix/2:
			list = append(list, -1)
		}
	}
	return list
}
