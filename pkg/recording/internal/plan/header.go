package plan

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// notNames says that a line is no line of names.
const notNames outcome = -1

// nameLine tells a line of names in the middle of a file by the name of the
// time column in its place: RowHeader where all names are those of the first
// header, RowForeign where others differ.
func (p *Plan) nameLine(cells [][]byte) outcome {
	if p.TimeAt == 0 || p.TimeAt > len(cells) || p.Names[p.TimeAt-1] == "" || cell.Clean(cells[p.TimeAt-1]) != p.Names[p.TimeAt-1] {
		return notNames
	}
	if cell.Filled(cells) < 2 {
		return notNames
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

// outcome is what became of a line.
type outcome int

const (
	RowRead outcome = iota
	RowHeader
	RowBlank
	RowRejected
	RowShort
	RowForeign // a header with other names
)
