package detect

import (
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

// findMillis sees whether minutes and seconds below ten are written without a
// zero, and whether what stands behind the seconds is a count of
// milliseconds that was not filled up with zeros: 14:18:06.37 for 37 ms. In
// fractions that lost the zeros at their end some begin with a zero and none of
// three digits ends in one; in such counts it is the other way round.
func (d *detector) findMillis() {
	c := &d.clock
	if c.Stamp == 0 && c.Clock == 0 || c.Compact {
		return
	}
	var seen fractions
	colon, fine := false, false // fine: finer than milliseconds
	rows, unpadded := 0, 0
	for _, l := range d.Sample.Lines[d.First:] {
		cells := d.CellsOf(l.Text)
		clock := d.clockCell(cells)
		t, ok := parse.Clock(clock, true)
		if rows++; !ok {
			continue
		}
		if t.Unpadded && len(cells) >= d.Fields {
			unpadded++
		}
		if fine = t.Fraction > 3; fine {
			break
		}
		if t.Fraction > 0 {
			seen.add(t)
			colon = colon || parse.ColonBefore(clock, t.Fraction)
		}
	}
	c.Unpadded = unpadded*20 > rows
	switch {
	case fine || seen.short == 0 || seen.three == 0 || seen.zeroFirst > 0:
	case seen.zeroLast > 0 || colon:
		c.WholeMillis = true
		d.Note("time", "milliseconds that are not filled up to three digits", "some have fewer digits, none begins with a zero")
	default:
		d.warnings.Add(estimate.ClockDoubtful, d.Src.Name(), "the seconds have fractions of one to three digits: read as decimals; if they count milliseconds, write them with three digits")
	}
}

// fractions counts fractions of seconds: those of one or two digits, those of
// three, and those that begin or, of three digits, end with a zero.
type fractions struct{ short, three, zeroFirst, zeroLast int }

func (f *fractions) add(t parse.ClockTime) {
	if t.Fraction < 3 {
		f.short++
		if t.Nanos < 1e8 && t.Nanos > 0 || t.Nanos == 0 && t.Fraction > 1 {
			f.zeroFirst++
		}
		return
	}
	f.three++
	if t.Nanos/1e6%10 == 0 && t.Nanos > 0 {
		f.zeroLast++
	}
	if t.Nanos < 1e8 {
		f.zeroFirst++
	}
}

// clockCell returns the part of a row's time that is a time of day, nil where
// there is none.
func (d *detector) clockCell(cells [][]byte) []byte {
	c := &d.clock
	switch {
	case c.Stamp > 0 && c.Stamp <= len(cells):
		_, clock, _ := parse.SplitStamp(cells[c.Stamp-1])
		return clock
	case c.Stamp == 0 && c.Clock > 0 && c.Clock <= len(cells):
		return cells[c.Clock-1]
	}
	return nil
}
