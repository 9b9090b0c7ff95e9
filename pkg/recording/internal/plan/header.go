package plan

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// Outcome is what became of a line.
type Outcome int

// The outcomes.
const (
	RowRead Outcome = iota
	RowHeader
	RowBlank
	RowRejected
	RowShort   // too few cells
	RowForeign // a header with other names
)

// movedNames tells a line of names in which that of the time stands in another
// place, all others words: RowForeign, else RowRead.
func (p *Plan) movedNames(cells [][]byte) Outcome {
	moved := false
	for _, c := range cells {
		if len(c) == 0 || c[0]-'0' <= 9 || cell.Classify(c, p.Decimal) != cell.Text {
			return RowRead
		}
		moved = moved || cell.Clean(c) == p.Names[p.TimeAt-1]
	}
	if moved {
		return RowForeign
	}
	return RowRead
}

// nameLine tells a line of names in the middle of a file by the name of the
// time column in its place: RowHeader where all names are those of the first
// header, RowForeign where others differ, RowRead where it is none.
func (p *Plan) nameLine(cells [][]byte) Outcome {
	if p.TimeAt == 0 || p.Names[p.TimeAt-1] == "" || cell.Filled(cells) < 2 {
		return RowRead
	}
	if p.TimeAt > len(cells) || cell.Clean(cells[p.TimeAt-1]) != p.Names[p.TimeAt-1] {
		return p.movedNames(cells)
	}
	for i, name := range p.Names {
		if i >= len(cells) {
			if name != "" {
				return RowForeign
			}
			continue
		}
		if cell.Clean(cells[i]) != name {
			return RowForeign
		}
	}
	if cell.Filled(cells) > len(p.Names) {
		return RowForeign
	}
	return RowHeader
}
