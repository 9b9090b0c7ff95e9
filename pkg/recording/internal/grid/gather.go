package grid

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// gather collects what the cells of each column look like.
func (g *Grid) gather() {
	g.Evidence = make([]Evidence, g.Fields)
	for i, l := range g.Sample.Lines[g.First:] {
		cells := g.CellsOf(l.Text)
		if len(cells) < g.Fields && (g.Least == 0 || len(cells) < g.Least) || cell.Filled(cells) > g.Fields {
			continue
		}
		for j := range min(g.Fields, len(cells)) {
			g.Evidence[j].see(cells[j], g.Decimal, g.First+i < g.Sample.Head)
		}
	}
	for j := range g.Evidence {
		g.Evidence[j].settle()
	}
}
