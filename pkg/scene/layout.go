package scene

import (
	"image/color"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

const (
	defaultWidth = 620.0
	panelHeight  = 205.0 // for a panel of weight 1, with its heading
	headHeight   = 17.0  // the names of the vertical axes, above the panel
	panelGap     = 9.0
	titleLine    = 17.0
	captionLine  = 12.5
	legendLine   = 15.0
	margin       = 8.0

	titleSize   = 12.5
	axisSize    = 9.5
	tickSize    = 9.0
	legendSize  = 9.5
	captionSize = 9.0
)

// measures are what a layout is made for.
type measures struct {
	width float64
	// cells is how many pieces a curve is thinned to.
	cells int
	// dots is how many points of one set are drawn at most.
	dots int
}

// layout is a sheet in the making.
type layout struct {
	figure *Figure
	measures
	sheet sheet.Sheet
	y     float64 // what lies below is free
	// direct are the lines whose names stand beside them, by panel.
	direct []map[string]bool
	// left and right are where all data areas begin and end.
	left, right float64
	columns     int
}

// layOut places everything of the figure.
func (f *Figure) layOut(m measures) sheet.Sheet {
	l := &layout{figure: f, measures: m, y: 5}
	l.sheet.Width, l.sheet.Title = m.width, f.Title
	l.title()
	plots := l.plots()
	curves := make([][]curve, len(plots))
	for i, p := range f.Panels {
		curves[i] = p.curves(plots[i], m.cells)
		l.direct = append(l.direct, map[string]bool{})
	}
	names := l.nameDirectly(plots, curves)
	l.legend()
	shift := l.y
	l.gridHeading()
	for i, p := range f.Panels {
		plots[i].Box.Top += shift
		plots[i].Box.Bottom += shift
		l.sheet.Plots = append(l.sheet.Plots, plots[i])
		l.panel(i, p, curves[i], names[i], shift)
		if l.numbered(i) {
			l.y = max(l.y, l.horizontalAxis(i))
		}
	}
	l.gridAxisName()
	l.y += 3
	l.caption()
	l.sheet.Height = l.y + 4
	return l.sheet
}

func (l *layout) text(t sheet.Text) {
	l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: sheet.None, Words: &t})
}

func (l *layout) shape(plot int, how sheet.Movement, s sheet.Shape) {
	l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: plot, Movement: how, Shape: &s})
}

// title writes the title in as many rows as it needs.
func (l *layout) title() {
	if l.figure.Title == "" {
		return
	}
	for _, row := range wrap(l.figure.Title, titleSize, l.width-2*margin) {
		l.y += titleLine
		l.text(sheet.Text{X: margin, Y: l.y - 4, S: row, Size: titleSize, Color: ink})
	}
	l.y += 3
}

// caption writes the caption below everything.
func (l *layout) caption() {
	for _, line := range l.figure.Caption {
		for _, row := range wrap(line, captionSize, l.width-2*margin) {
			l.y += captionLine
			l.text(sheet.Text{X: margin, Y: l.y, S: row, Size: captionSize, Color: faint})
		}
	}
}

// wrap breaks a line at its spaces into rows that fit the width; a short word
// after a number, such as its unit, stays with it.
func wrap(line string, size, width float64) []string {
	var rows []string
	row := ""
	for _, word := range glued(strings.Fields(line)) {
		if row != "" && sheet.Width(row+" "+word, size) > width {
			rows, row = append(rows, row), ""
		}
		row = strings.TrimSpace(row + " " + word)
	}
	return append(rows, row)
}

// glued joins short words to the numbers before them.
func glued(words []string) (all []string) {
	const unit = 4 // letters of the longest, such as km/h
	for i, w := range words {
		if i > 0 && len([]rune(strings.TrimRight(w, "),.:;"))) <= unit && strings.ContainsRune("%°KWkmsPhNlL", []rune(w)[0]) && strings.ContainsAny(words[i-1][len(words[i-1])-1:], "0123456789") {
			all[len(all)-1] += " " + w
			continue
		}
		if n := len(all); i > 1 && words[i-1] == "to" && isNumber(w) && n > 1 && isNumber(words[i-2]) { // a span stays together
			all = append(all[:n-2], all[n-2]+" to "+w)
			continue
		}
		all = append(all, w)
	}
	return all
}

// isNumber reports whether a word is a number, perhaps in brackets or with a sign.
func isNumber(word string) bool {
	_, err := strconv.ParseFloat(strings.Trim(word, "−+-(),.;:"), 64)
	return err == nil
}

// panelHeights shares the height among the panels; a figure of a fixed height
// is drawn as high in any width that it was not made for.
func (f *Figure) panelHeights(width float64) []float64 {
	unit := panelHeight
	if f.Height > 0 {
		total := 0.0
		for _, p := range f.Panels {
			total += p.weight()
		}
		unit = max(60, f.Height-75) / total
		if own := f.ownWidth(); width < own {
			unit *= width / own
		}
	}
	heights := make([]float64, len(f.Panels))
	for i, p := range f.Panels {
		heights[i] = max(unit*p.weight(), 60)
	}
	return heights
}

func (f *Figure) ownWidth() float64 {
	if f.Width == 0 {
		return defaultWidth
	}
	return f.Width
}

func (p Panel) weight() float64 {
	if p.Weight == 0 {
		return 1
	}
	return p.Weight
}

// panel draws one panel in its place.
func (l *layout) panel(i int, p Panel, curves []curve, names []sheet.Text, shift float64) {
	plot := l.sheet.Plots[i]
	l.heading(i, plot)
	l.tints(i, p, plot)
	l.grid(i, p, plot)
	for _, r := range p.Ribbons {
		l.ribbon(i, r, plot)
	}
	for _, c := range curves {
		s := sheet.Shape{Stroke: c.line.Style.stroke(), Name: c.name}
		for _, run := range c.runs {
			s.Runs = append(s.Runs, moved(run, shift))
		}
		l.shape(i, sheet.Stretches, s)
	}
	for _, q := range p.Points {
		l.points(i, q, plot)
	}
	l.bands(i, p, plot)
	l.events(i, p, plot)
	l.values(i, p, plot)
	l.verticalAxes(i, plot)
	for _, t := range names {
		t.Y += shift
		l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: i, Movement: sheet.Follows, At: t.X, Words: &t})
	}
}

func moved(run []sheet.Point, down float64) []sheet.Point {
	out := make([]sheet.Point, len(run))
	for i, q := range run {
		out[i] = sheet.Point{X: q.X, Y: q.Y + down}
	}
	return out
}

// heading names the panel and its vertical axes above it.
func (l *layout) heading(i int, plot sheet.Plot) {
	p, y, x := l.figure.Panels[i], plot.Box.Top-6, margin
	if l.isGrid() {
		l.text(sheet.Text{X: plot.Box.Left, Y: y, S: p.Name, Size: axisSize, Color: ink})
		return
	}
	if p.YLabel != "" && len(p.Rows) == 0 {
		l.text(sheet.Text{X: x, Y: y, S: p.YLabel, Size: axisSize, Color: ink})
		x += sheet.Width(p.YLabel, axisSize) + 14
	}
	end := l.width - margin
	if p.Right != nil {
		end -= sheet.Width(p.Right.Label, axisSize) + 6
	}
	switch {
	case p.Name == "":
	case x+sheet.Width(p.Name, axisSize) <= end:
		l.text(sheet.Text{X: x, Y: y, S: p.Name, Size: axisSize, Color: faint})
	default: // no room beside the names of the axes
		l.text(sheet.Text{X: plot.Box.Left + 5, Y: plot.Box.Top + 11, S: p.Name, Size: axisSize, Color: faint, Halo: true})
	}
	if p.Right != nil {
		l.text(sheet.Text{X: l.width - margin, Y: y, S: p.Right.Label, Size: axisSize, Color: ink, Anchor: sheet.End})
	}
}

func rule(x0, y0, x1, y1, width float64, c color.NRGBA) sheet.Shape {
	return sheet.Shape{Runs: [][]sheet.Point{{{X: x0, Y: y0}, {X: x1, Y: y1}}}, Stroke: sheet.Stroke{Color: c, Width: width}}
}
