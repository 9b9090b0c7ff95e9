package detect

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// refuseBothCommas refuses rows without a header that look as if the comma
// stood both between cells and in the numbers: the numbers are all whole, their
// count is even, and every second one is written with the same few digits in
// all rows, as what follows a decimal mark is.
func (d *detector) refuseBothCommas(kinds []cell.Kind, width int) error {
	if d.delim != ',' || d.layout.Decimal != "" {
		return nil
	}
	from := 0
	for from < width && kinds[from] != cell.Numeric {
		from++
	}
	n := width - from
	if n < 2 || n%2 != 0 {
		return nil
	}
	for _, k := range kinds[from:] {
		if k != cell.Numeric {
			return nil
		}
	}
	digits := make([]int, width) // of the second halves
	first := make([][]byte, width)
	varied, rows := false, 0
	for _, l := range d.probe(300) {
		cells := d.cellsOf(l)
		if len(cells) != width {
			continue
		}
		rows++
		for i := from; i < width; i++ {
			c := cells[i]
			if bytes.IndexByte(c, '.') >= 0 {
				return nil
			}
			if (i-from)%2 == 0 {
				continue
			}
			if len(c) == 0 || len(c) > 3 || c[0] == '-' || c[0] == '+' || (digits[i] > 0 && digits[i] != len(c)) {
				return nil
			}
			digits[i] = len(c)
			if first[i] == nil {
				first[i] = bytes.Clone(c)
			}
			varied = varied || !bytes.Equal(first[i], c)
		}
	}
	if rows < 2 || !varied {
		return nil
	}
	return d.src.Fail(fmt.Sprintf("seems to use the comma both between cells and as decimal mark: of the %d numbers in a row all are whole, and every second has the same few digits throughout (%q)", n, cell.Excerpt(d.sample.lines[d.first].text)),
		`export it with semicolons or with a decimal point; if the numbers are whole indeed, set delimiter = "comma" and decimal = "."`, account.ErrNoData)
}
