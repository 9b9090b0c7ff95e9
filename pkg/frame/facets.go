package frame

import (
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/finding"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Faceted is a frame that is drawn as small pictures under one another, one for
// each group of rows, with common axes.
type Faceted struct {
	frame *Frame
	keys  []string
}

// Facets draws one panel for each group of rows with the same values in the
// columns: f.Facets("drive").Line("since start", "intake").
func (f *Frame) Facets(columns ...string) Faceted { return Faceted{f, columns} }

// Scatter draws the panels as [Frame.Scatter] does. It fails as that does.
func (a Faceted) Scatter(x, y string, by ...string) (*chart.Figure, error) {
	return a.draw("Scatter", y+" against "+x, x, y, by, func(d drawing) (chart.Panel, error) { return d.scatter(), nil })
}

// Line draws the panels as [Frame.Line] does. It fails as that does.
func (a Faceted) Line(x, y string, by ...string) (*chart.Figure, error) {
	return a.draw("Line", y+finding.Along(x), x, y, by, drawing.lines)
}

// Histogram draws the panels as [Frame.Histogram] does. It fails as that does.
func (a Faceted) Histogram(column, width string, by ...string) (*chart.Figure, error) {
	return a.draw("Histogram", column, column, "", by, func(d drawing) (chart.Panel, error) { return d.histogram(width) })
}

func (a Faceted) draw(step, title, x, y string, by []string, one func(drawing) (chart.Panel, error)) (*chart.Figure, error) {
	whole, err := newDrawing(step, a.frame, x, y, by)
	if err != nil {
		return nil, err
	}
	g := a.frame.Group(a.keys...)
	if g.frame.err != nil {
		return nil, g.frame.err
	}
	told := whole.x
	if whole.y != nil {
		told = whole.y
	}
	names := a.frame.groupNames(g)
	title += ", one panel for each " + strings.Join(a.keys, " and ") + byline(by) + finding.Medians(told, finding.Parts(names, g.groups))
	fig := &chart.Figure{Title: title, XLabel: axis(whole.x), Below: chart.OtherScale(whole.x.Unit), Caption: whole.caption()}
	xlo, _ := vector.Span(whole.x.Shown())
	for i, name := range names {
		d := whole
		d.frame = a.frame.take(g.groups[i])
		d.x, d.y = whole.x.Take(g.groups[i]), nil
		if whole.y != nil {
			d.y = whole.y.Take(g.groups[i])
		}
		p, err := one(d)
		if err != nil {
			return nil, a.frame.fail(step, err).err
		}
		p.Weight = 0.7
		p.Markers = append(p.Markers, chart.Marker{X: xlo, Label: name})
		fig.Panels = append(fig.Panels, p)
	}
	commonRange(fig, whole)
	return fig, nil
}

// commonRange gives all panels the same vertical axis, and the figure the
// horizontal axis of all rows.
func commonRange(fig *chart.Figure, d drawing) {
	var lo, hi float64
	if d.y != nil {
		lo, hi = vector.Span(d.y.Shown())
	} else {
		for _, p := range fig.Panels {
			for _, l := range p.Lines {
				_, most := vector.Span(l.Y)
				hi = math.Max(hi, most)
			}
		}
	}
	xlo, xhi := vector.Span(d.x.Shown())
	for i := range fig.Panels {
		fig.Panels[i].Points = append(fig.Panels[i].Points, keepRange(xlo, lo, hi), keepRange(xhi, lo, hi))
	}
}
