package detect

import "github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"

// gather collects what the cells of each column look like.
func (d *detector) gather() error {
	d.evidence = make([]evidence, d.fields)
	for i, l := range d.sample.lines[d.first:] {
		cells := d.cellsOf(l.text)
		if len(cells) < d.fields || cell.Filled(cells) > d.fields {
			continue
		}
		for j := range d.fields {
			d.evidence[j].see(cells[j], d.decimal, d.first+i < d.sample.head)
		}
	}
	for j := range d.evidence {
		e := &d.evidence[j]
		e.kind = mostCommon(e.count)
	}
	return nil
}
