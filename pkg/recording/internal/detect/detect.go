// Package detect finds out what the columns of a text file hold: the time and
// its format, the order of dates, the contents and their units. Where the file
// cannot decide, it asks.
package detect

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Text finds out how a text file is laid out.
func Text(src *source.Source, given layout.Layout) (*Result, error) {
	g, err := grid.New(src, given)
	if err != nil {
		return nil, err
	}
	d := &detector{Grid: g}
	for _, step := range []func() error{
		d.findTime, d.refuseLong, d.findDateOrder, d.findStart, d.findContents, d.findTemperatureUnit, d.findSpeedUnit, d.doubtTimes,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	for _, c := range d.columns {
		if c.Unit != nil && c.Reason != "" {
			d.Note("unit", c.Unit.Name+" in "+c.Name, c.Reason)
		}
	}
	return d.result(), nil
}
