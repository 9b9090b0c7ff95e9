package frame

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/finding"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Lines draws several columns over x, those of one kind of quantity together in
// one panel and in the unit of the first of them. It fails as [Frame.Line] does,
// and where no column is named or more than seven are.
func (f *Frame) Lines(x string, columns ...string) (*chart.Figure, error) {
	if len(columns) == 0 || len(columns) > mostLooks {
		return nil, f.fail("Lines", fmt.Errorf("%d columns; from one to %d can be drawn together", len(columns), mostLooks)).err
	}
	fig := &chart.Figure{}
	var found []string
	place := map[quantity.Kind]int{}
	units := map[quantity.Kind]quantity.Unit{}
	for k, name := range columns {
		d, err := newDrawing("Lines", f, x, name, nil)
		if err != nil {
			return nil, err
		}
		kind := d.y.Unit.Kind()
		i, known := place[kind]
		if !known {
			i = len(fig.Panels)
			place[kind], units[kind] = i, d.y.Unit
			fig.Panels = append(fig.Panels, d.kindPanel())
		}
		y := *d.y
		y.Unit, d.y = units[kind], &y
		p, err := d.lines()
		if err != nil {
			return nil, f.fail("Lines", err).err
		}
		p.Lines[0].Label, p.Lines[0].Style = name, chart.Look(k)
		fig.Panels[i].Lines = append(fig.Panels[i].Lines, p.Lines[0])
		found = append(found, strings.TrimSpace(name+" "+finding.Between(d.y, vector.UpTo(f.rows))))
		fig.XLabel, fig.Below = axis(d.x), chart.OtherScale(d.x.Unit)
		fig.Caption = append(fig.Caption, name+": "+d.caption()[0])
	}
	fig.Title = strings.Join(found, ", ") + finding.Along(x)
	return fig, nil
}

// kindPanel is an empty panel named by the kind of quantity.
func (d drawing) kindPanel() chart.Panel {
	return panel(vector.Numbers(d.y.Unit.Kind().String(), d.y.Unit, nil))
}
