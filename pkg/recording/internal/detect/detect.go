package detect

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Text finds out how a text file is laid out.
func Text(src *source.Source, layout layout.Layout) (*Result, error) {
	s, err := takeSample(src)
	if err != nil {
		return nil, err
	}
	d := &detector{src: src, sample: s, layout: layout}
	d.note("encoding", string(src.Encoding), GivenOr(layout.Encoding != "", ""))
	for _, step := range []func() error{
		d.findDelimiter, d.findHeader, d.gather, d.findTime, d.findDateOrder, d.refuseLong, d.findContents, d.findTemperatureUnit, d.findSpeedUnit,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	for _, c := range d.columns {
		if c.Unit != nil && c.Reason != "" {
			d.note("unit", c.Unit.Name+" in "+c.Name, c.Reason)
		}
	}
	return d.result(), nil
}
