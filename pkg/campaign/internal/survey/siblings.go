package survey

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/internal/sibling"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Unlike names the files of the device that are unlike the rest.
func (d *Device) Unlike() []sibling.Finding {
	names := d.ColumnNames()
	var files []sibling.File
	for _, f := range d.Files {
		out := sibling.File{Name: f.Path, Step: math.NaN()}
		for i, c := range columns(d.Files[0].ways[0].Recording) {
			for _, own := range f.readings(c.Name, i) {
				s := own.Series
				if s.Present() == 0 || own.Derived {
					continue
				}
				low, high := s.MinMax(s.Interval())
				out.Columns = append(out.Columns, sibling.Column{Name: names[i], Kind: own.Dimension, Unit: own.Unit, Low: low, Middle: s.Median(s.Interval()), High: high, Readings: s.Present()})
				if own.Dimension == quantity.KindTemperature {
					out.Step = s.Step()
				}
				break
			}
		}
		files = append(files, out)
	}
	return sibling.Odd(files)
}
