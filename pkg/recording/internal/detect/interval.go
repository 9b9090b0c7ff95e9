package detect

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// preambleInterval takes how far rows are apart from a line before them, where
// no column holds a time: "Interval: 2 s", "Sampling rate,1 Hz", "Interval
// (s);5", "Log interval 00:00:02".
func (d *detector) preambleInterval() bool {
	for _, l := range d.Sample.Lines[:d.First] {
		text := cell.Decode(l.Text)
		seconds := heading.IntervalIn(text)
		if seconds <= 0 || seconds > 86400 {
			continue
		}
		c := &d.clock
		c.Format, c.Factor, c.Value = layout.ByInterval, seconds, 0
		d.Layout.Interval = seconds
		d.Note("interval_s", fmt.Sprintf("rows %g s apart", seconds), fmt.Sprintf("line %d: %q", l.Number, cell.Excerpt(l.Text)))
		return true
	}
	return false
}
