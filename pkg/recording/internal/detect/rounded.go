package detect

import (
	"bytes"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

// refuseRounded refuses numbers for times that a spreadsheet has shortened, so
// that many rows share one: 1.79577E+12 for thousands of seconds.
func (d *detector) refuseRounded() error {
	c := &d.clock
	if c.Value == 0 || d.Layout.Interval > 0 {
		return nil
	}
	rows, distinct, line := 0, 0, 0
	var last, example []byte
	coarse := math.Inf(1) // the power of ten, in seconds, that all times are whole multiples of
	exponent := false
	for _, l := range d.Sample.Lines[d.First:] {
		cells := d.CellsOf(l.Text)
		if len(cells) < c.Value {
			continue
		}
		b := cells[c.Value-1]
		v, ok := parse.Number(b, d.Decimal)
		if !ok || v == 0 {
			continue
		}
		if rows++; !bytes.Equal(b, last) {
			distinct++
		}
		if i := bytes.IndexAny(b, "eE"); i > 0 && bytes.IndexByte(b, '-') < i {
			exponent = true
		}
		if example == nil {
			example, line = bytes.Clone(b), l.Number
		}
		coarse = min(coarse, numbers.RoundTo(v)*c.Factor)
		last = append(last[:0], b...)
	}
	if rows < 5 || distinct*2 > rows || coarse < 50 && !(exponent && coarse >= 1) {
		return nil
	}
	err := d.Src.Fail(fmt.Sprintf("has times that were shortened to whole %g s (%s has %d different ones in %d rows, such as %q), as spreadsheet programs do with long numbers",
		coarse, d.HeaderText(c.Value), distinct, rows, cell.Excerpt(example)),
		"export it again without opening it in one, or set interval_s to the seconds between two rows", account.ErrNoTime)
	if e, ok := err.(*account.FileError); ok {
		e.Line = line
	}
	return err
}
