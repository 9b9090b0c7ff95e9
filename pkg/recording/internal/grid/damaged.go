package grid

import (
	"bytes"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// mostDamaged is the number of damaged rows that may stand between the names
// and the first whole row.
const mostDamaged = 5

// lineOfNames returns the index of the last line before the first row that has
// as many cells as rows have, all of them names; −1 where none is near.
func (g *Grid) lineOfNames(width int) int {
	for i := g.First - 1; i >= 0 && i >= g.First-1-mostDamaged; i-- {
		cells := g.headerCells(g.Sample.Lines[i].Text, width)
		if cell.Filled(cells) < max(2, width) {
			continue
		}
		names := 0
		for _, c := range cells {
			if k := cell.Classify(c, g.Decimal); k == cell.Text || k == cell.Unit {
				names++
			}
		}
		if names == len(cells) {
			return i
		}
	}
	return -1
}

// damagedRow reports whether a line below the names is what is left of a row:
// no names and no units, but not blank.
func (g *Grid) damagedRow(text []byte, width int) bool {
	cells := g.CellsOf(text)
	if len(bytes.TrimSpace(text)) == 0 {
		return false
	}
	words := 0
	for _, c := range cells {
		switch cell.Classify(c, g.Decimal) {
		case cell.Unit, cell.Empty, cell.Hemisphere, cell.NoValue: // "s" and "-" stand in lines of units
			words++
		case cell.Text:
			if readableWord(c) {
				words++
			}
		}
	}
	return words < len(cells) || len(cells) < width && len(cells) < 2 && !readableWord(text)
}

// readableWord reports whether a cell is a word that a person would write:
// letters first, without bytes of no character.
func readableWord(c []byte) bool {
	s := []rune(cell.Decode(bytes.Trim(c, "([{ ")))
	for _, r := range s {
		if r < ' ' || r == '\ufffd' {
			return false
		}
	}
	return len(s) > 0 && (s[0] >= 'A' && s[0] <= 'Z' || s[0] >= 'a' && s[0] <= 'z' || s[0] == '°' || s[0] == '%')
}
