package grid

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// refuseBothCommas refuses rows without a header that look as if the comma
// stood both between cells and in the numbers: the numbers are all whole, their
// count is even, and every second one is written with the same few digits in
// all rows, as what follows a decimal mark is.
func (g *Grid) refuseBothCommas(kinds []cell.Kind, width int) error {
	if g.Delim != ',' || g.Layout.Decimal != "" {
		return nil
	}
	from := 0
	for from < width && kinds[from] != cell.Numeric {
		from++
	}
	n := width - from
	others := slices.ContainsFunc(kinds[from:], func(k cell.Kind) bool { return k != cell.Numeric })
	if n < 2 || n%2 != 0 || others || !g.halves(from, width) {
		return nil
	}
	return g.Src.Fail(fmt.Sprintf("seems to use the comma both between cells and as decimal mark: of the %d numbers in a row all are whole, and every second has the same few digits throughout (%q)", n, cell.Excerpt(g.Sample.Lines[g.First].Text)),
		`export it with semicolons or with a decimal point; if the numbers are whole indeed, set delimiter = "comma" and decimal = "."`, account.ErrNoData)
}

// halves reports whether every second cell may be what follows a decimal mark.
func (g *Grid) halves(from, width int) bool {
	digits := make([]int, width) // of the second halves
	first := make([][]byte, width)
	varied, rows := false, 0
	for _, l := range g.probe(300) {
		cells := g.CellsOf(l)
		if len(cells) != width {
			continue
		}
		rows++
		for i := from; i < width; i++ {
			c := cells[i]
			if bytes.IndexByte(c, '.') >= 0 {
				return false
			}
			if (i-from)%2 == 0 {
				continue
			}
			if !isFraction(c) || (digits[i] > 0 && digits[i] != len(c)) {
				return false
			}
			digits[i] = len(c)
			if first[i] == nil {
				first[i] = bytes.Clone(c)
			}
			varied = varied || !bytes.Equal(first[i], c)
		}
	}
	return rows >= 2 && varied
}

// isFraction reports whether a whole number may be the digits behind a decimal
// mark.
func isFraction(c []byte) bool {
	return len(c) > 0 && len(c) <= 3 && c[0] != '-' && c[0] != '+'
}
