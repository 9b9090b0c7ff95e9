package detect

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

// findZone sees whether stamps carry their zone.
func (d *detector) findZone() {
	with, without := 0, 0
	lines := d.Sample.Lines[d.First:]
	for _, l := range lines[:min(len(lines), 2000)] {
		cells := d.CellsOf(l.Text)
		c := &d.clock
		var clock []byte
		switch {
		case c.Stamp > 0 && c.Stamp <= len(cells):
			_, clock, _ = parse.SplitStamp(cells[c.Stamp-1])
		case c.Clock > 0 && c.Clock <= len(cells):
			clock = cells[c.Clock-1]
		}
		if t, ok := parse.Clock(clock, false); ok && t.HasZone {
			with++
		} else if ok {
			without++
		}
	}
	switch {
	case with > 0 && without == 0:
		d.clock.UTC = true
		d.Note("zone", "UTC known", "the stamps carry their zone")
	case with > 0:
		d.warnings.Add(estimate.ClockDoubtful, d.Src.Name(), fmt.Sprintf("%d stamps of the sample carry a zone and %d do not: those without are taken as they stand", with, without))
	}
}
