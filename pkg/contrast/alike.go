package contrast

import "slices"

// alike are drives of one side that are equally uncertain by themselves: whatever
// the scatter, they weigh the same, so that their products are summed once.
type alike struct {
	side     int
	own      float64
	drives   float64
	products []float64 // of the columns, upper triangle
	withY    []float64 // of the columns with y
}

// gather sums the products of drives that weigh the same.
func (d *design) gather() {
	k := d.columns
	d.group, d.groups = d.group[:0], d.groups[:0]
	for i := range d.n {
		at := slices.IndexFunc(d.groups, func(g alike) bool { return g.side == d.side[i] && g.own == d.own[i] })
		if at < 0 {
			at = len(d.groups)
			d.groups = append(d.groups, alike{side: d.side[i], own: d.own[i], products: make([]float64, k*k), withY: make([]float64, k)})
		}
		g := &d.groups[at]
		d.group = append(d.group, at)
		g.drives++
		for p, x := range d.x[i] {
			g.withY[p] += x * d.y[i]
			for q := p; q < k; q++ {
				g.products[p*k+q] += x * d.x[i][q]
			}
		}
	}
}
