package scene

import (
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

const (
	columnGap   = 12.0
	leastColumn = 118.0 // a narrower panel tells nothing
)

// isGrid reports whether panels stand beside one another where there is room.
func (l *layout) isGrid() bool { return l.figure.Columns > 1 }

// axisOf is the horizontal axis of a panel with what it spans.
func (f *Figure) axisOf(i int) Axis {
	own := f.Panels[i].Axis
	a := Axis{Label: f.XLabel, Below: f.Below, Categories: f.Categories}
	if own != nil {
		a = *own
	}
	if n := len(a.Categories); n > 0 {
		a.From, a.To = -0.5, float64(n)-0.5
	}
	if a.From == a.To {
		a.From, a.To = f.xRange(own)
	}
	return a
}

// groupOf numbers the axis of a panel, by the first panel that has it.
func (f *Figure) groupOf(i int) int {
	for k, p := range f.Panels {
		if p.Axis == f.Panels[i].Axis {
			return k
		}
	}
	return i
}

// plots places the data areas as if the first panel's heading began at 0.
func (l *layout) plots() []sheet.Plot {
	f := l.figure
	plots := make([]sheet.Plot, len(f.Panels))
	widest, second := 0.0, 6.0
	for i, p := range f.Panels {
		q, a := &plots[i], f.axisOf(i)
		q.X, q.Axis, q.Categories, q.Group = sheet.Range{From: a.From, To: a.To}, a.Label, a.Categories, f.groupOf(i)
		if a.Below != nil && len(a.Categories) == 0 {
			q.Below = &sheet.Scale{Unit: a.Below.Label, Factor: a.Below.Factor, Offset: a.Below.Offset}
		}
		q.Y.From, q.Y.To = p.yRange()
		_, q.Unit = unitOf(p.YLabel)
		q.Rows = p.Rows
		if p.Right != nil {
			q.Second = &sheet.Scale{Unit: p.Right.Label, Factor: p.Right.Factor, Offset: p.Right.Offset}
		}
		for _, t := range leftTicks(*q) {
			for _, row := range l.rowsOf(*q, t.label) {
				widest = max(widest, sheet.Width(row, tickSize))
			}
		}
		for _, t := range rightTicks(*q) {
			second = max(second, sheet.Width(t.label, tickSize))
		}
	}
	l.left, l.right = margin+widest+7, l.width-margin-second-4
	l.columns = min(max(1, f.Columns), max(1, int((l.right-l.left+columnGap)/(leastColumn+columnGap))))
	l.boxes(plots)
	for i, p := range f.Panels {
		plots[i].Y.To = p.headroom(plots[i])
	}
	return plots
}

// rowsOf breaks the name of a row, which must leave room for the data.
func (l *layout) rowsOf(plot sheet.Plot, name string) []string {
	if len(plot.Rows) == 0 {
		return []string{name}
	}
	return wrap(name, tickSize, 0.36*l.width)
}

// boxes gives the plots their places, row by row.
func (l *layout) boxes(plots []sheet.Plot) {
	wide := (l.right - l.left - columnGap*float64(l.columns-1)) / float64(l.columns)
	y, each := 0.0, l.figure.panelHeights(l.width)
	if l.isGrid() {
		y = headHeight - 3
	}
	for first := 0; first < len(plots); first += l.columns {
		row := plots[first:min(first+l.columns, len(plots))]
		height, below := 0.0, 0.0
		for k := range row {
			height = max(height, each[first+k])
			left := l.left + float64(k)*(wide+columnGap)
			row[k].Box = sheet.Box{Left: left, Right: left + wide}
		}
		for k := range row {
			row[k].Box.Top, row[k].Box.Bottom = y+headHeight, y+height-panelGap
			if next := first + k + l.columns; next < len(plots) && l.numbered(first+k) {
				below = max(below, l.axisHeight(row[k]))
			}
		}
		y += height + below
	}
}

// numbered reports whether the horizontal axis of a panel stands below it: no
// panel of the same axis does.
func (l *layout) numbered(i int) bool {
	below := i + l.columns
	return below >= len(l.figure.Panels) || l.figure.groupOf(below) != l.figure.groupOf(i)
}

// gridHeading names the vertical axes of all panels of a grid, once.
func (l *layout) gridHeading() {
	if !l.isGrid() {
		return
	}
	p, y := l.figure.Panels[0], l.y+headHeight-8
	l.text(sheet.Text{X: margin, Y: y, S: p.YLabel, Size: axisSize, Color: ink})
	if p.Right != nil {
		l.text(sheet.Text{X: l.width - margin, Y: y, S: p.Right.Label, Size: axisSize, Color: ink, Anchor: sheet.End})
	}
}

// gridAxisName names the horizontal axis of all panels of a grid, once.
func (l *layout) gridAxisName() {
	if !l.isGrid() || l.figure.XLabel == "" {
		return
	}
	l.y += axisSize + 3
	l.text(sheet.Text{X: (l.left + l.right) / 2, Y: l.y, S: axisName(l.figure.XLabel, l.figure.Below), Size: axisSize, Color: ink, Anchor: sheet.Middle})
}

// withoutEmpty leaves out the panels that hold nothing to draw, and names in the
// caption the lines and points of others that hold nothing.
func (f *Figure) withoutEmpty() *Figure {
	g := *f
	g.Panels = nil
	var empty []string
	for _, p := range f.Panels {
		if !p.hasData() {
			continue
		}
		p, names := p.withoutEmpty()
		g.Panels = append(g.Panels, p)
		for _, name := range names {
			if !slices.Contains(empty, name) {
				empty = append(empty, name)
			}
		}
	}
	if len(empty) > 0 {
		g.Caption = append(slices.Clone(f.Caption), "Without any value: "+strings.Join(empty, ", ")+".")
	}
	return &g
}

// withoutEmpty leaves out lines and points of a name that has no value and returns
// the names; rows show by themselves that they are empty.
func (p Panel) withoutEmpty() (Panel, []string) {
	if len(p.Rows) > 0 {
		return p, nil
	}
	drawn := map[string]bool{"": true}
	for _, l := range p.Lines {
		drawn[l.Label] = drawn[l.Label] || holds(l.X, l.Y)
	}
	for _, q := range p.Points {
		drawn[q.Label] = drawn[q.Label] || holds(q.X, q.Y)
	}
	var names []string
	empty := func(name string) bool {
		if !drawn[name] {
			names = append(names, name)
		}
		return !drawn[name]
	}
	p.Lines = slices.DeleteFunc(slices.Clone(p.Lines), func(l Line) bool { return empty(l.Label) })
	p.Points = slices.DeleteFunc(slices.Clone(p.Points), func(q Points) bool { return empty(q.Label) })
	return p, names
}

// holds reports whether there is a value with its place.
func holds(x, y []float64) bool {
	for i := range min(len(x), len(y)) {
		if finite(y[i]) && finite(x[i]) {
			return true
		}
	}
	return false
}

// hasData reports whether a panel holds a value that can be drawn.
func (p Panel) hasData() bool {
	for _, l := range p.Lines {
		if holds(l.X, l.Y) {
			return true
		}
	}
	for _, r := range p.Ribbons {
		if holds(r.X, r.Lo) && holds(r.X, r.Hi) {
			return true
		}
	}
	for _, q := range p.Points {
		if holds(q.X, q.Y) {
			return true
		}
	}
	return false
}
