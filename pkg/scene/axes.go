package scene

import (
	"image/color"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

const tickLength = 4.0

// leftTicks are the numbers or names beside a plot.
func leftTicks(p sheet.Plot) []tick {
	if n := len(p.Rows); n > 0 {
		ticks := make([]tick, n)
		for i, name := range p.Rows {
			ticks[i] = tick{float64(n - i), name}
		}
		return ticks
	}
	return roundTicks(p.Y.From, p.Y.To, 6)
}

// rightTicks are the numbers of the second scale; none without one.
func rightTicks(p sheet.Plot) []tick {
	if p.Second == nil {
		return nil
	}
	return ticksOn(*p.Second, p.Y, 6)
}

func ticksOn(s sheet.Scale, r sheet.Range, about int) []tick {
	a, b := s.Factor*r.From+s.Offset, s.Factor*r.To+s.Offset
	return roundTicks(math.Min(a, b), math.Max(a, b), about)
}

// bottomTicks are the numbers below a plot.
func bottomTicks(p sheet.Plot) []tick {
	if len(p.Categories) > 0 {
		return nil
	}
	return roundTicks(p.X.From, p.X.To, ticksAcross(p))
}

func ticksAcross(p sheet.Plot) int { return max(4, int((p.Box.Right-p.Box.Left)/68)) }

// grid draws faint lines at the ticks, and the one through zero.
func (l *layout) grid(i int, p Panel, plot sheet.Plot) {
	b := plot.Box
	across, up := rules(0.5, light), rules(0.5, light)
	for _, t := range leftTicks(plot) {
		across.add(b.Left, plot.AtY(t.value), b.Right, plot.AtY(t.value))
	}
	for _, t := range bottomTicks(plot) {
		up.add(plot.AtX(t.value), b.Top, plot.AtX(t.value), b.Bottom)
	}
	l.shape(i, sheet.Fixed, across.Shape)
	if len(up.Runs) > 0 {
		l.shape(i, sheet.OfAxis, up.Shape)
	}
	if p.ZeroLine && plot.Y.From < 0 && plot.Y.To > 0 {
		l.shape(i, sheet.Fixed, rule(b.Left, plot.AtY(0), b.Right, plot.AtY(0), 0.9, ink))
	}
}

// ruling is a set of straight lines of one look.
type ruling struct{ sheet.Shape }

func rules(width float64, c color.NRGBA) *ruling {
	return &ruling{sheet.Shape{Stroke: sheet.Stroke{Color: c, Width: width}}}
}

func (r *ruling) add(x0, y0, x1, y1 float64) {
	r.Runs = append(r.Runs, []sheet.Point{{X: x0, Y: y0}, {X: x1, Y: y1}})
}

// verticalAxes draws the lines at both sides with their numbers.
func (l *layout) verticalAxes(i int, plot sheet.Plot) {
	b := plot.Box
	frame := rules(0.7, ink)
	frame.add(b.Left, b.Top, b.Left, b.Bottom)
	frame.add(b.Left, b.Bottom, b.Right, b.Bottom)
	defer func() { l.shape(i, sheet.Fixed, frame.Shape) }()
	for _, t := range leftTicks(plot) {
		y := plot.AtY(t.value)
		if y < b.Top-1 || y > b.Bottom+1 || i%l.columns != 0 {
			continue
		}
		frame.add(b.Left-tickLength, y, b.Left, y)
		rows := l.rowsOf(plot, t.label)
		for k, row := range rows {
			shift := (float64(k) - float64(len(rows)-1)/2) * (tickSize + 1)
			l.text(sheet.Text{X: b.Left - tickLength - 2, Y: y + 0.35*tickSize + shift, S: row, Size: tickSize, Color: ink, Anchor: sheet.End})
		}
	}
	if plot.Second == nil || i%l.columns != l.columns-1 {
		return
	}
	frame.add(b.Right, b.Top, b.Right, b.Bottom)
	for _, t := range rightTicks(plot) {
		y := plot.AtY(plot.Second.First(t.value))
		frame.add(b.Right, y, b.Right+tickLength, y)
		l.text(sheet.Text{X: b.Right + tickLength + 2, Y: y + 0.35*tickSize, S: t.label, Size: tickSize, Color: ink})
	}
}

// horizontalAxis writes numbers or categories below a panel, and the axis'
// name, and returns what is free below it.
func (l *layout) horizontalAxis(i int) float64 {
	plot := l.sheet.Plots[i]
	y := plot.Box.Bottom
	if len(plot.Categories) > 0 {
		y += l.categories(plot)
	} else {
		l.numbers(i, y, sheet.OfAxis, bottomTicks(plot), func(v float64) float64 { return v })
		y += numbersHeight
		if plot.Below != nil {
			l.secondBelow(i, y)
			y += belowHeight
		}
	}
	if plot.Axis != "" && !l.isGrid() {
		y += axisSize + 3
		l.text(sheet.Text{X: (l.left + l.right) / 2, Y: y, S: axisName(plot.Axis, l.figure.axisOf(i).Below), Size: axisSize, Color: ink, Anchor: sheet.Middle})
	}
	return y
}

const (
	numbersHeight = tickLength + tickSize + 2
	belowHeight   = numbersHeight + 4
)

// secondBelow draws the second scale under the numbers of an axis.
func (l *layout) secondBelow(i int, y float64) {
	plot := l.sheet.Plots[i]
	y += 3
	l.shape(i, sheet.Fixed, rule(plot.Box.Left, y, plot.Box.Right, y, 0.7, ink))
	l.numbers(i, y, sheet.OfBelow, ticksOn(*plot.Below, plot.X, ticksAcross(plot)), plot.Below.First)
}

// numbers draws ticks below y with their numbers; first says which value of the
// axis each shows.
func (l *layout) numbers(i int, y float64, movement sheet.Movement, ticks []tick, first func(float64) float64) {
	plot, marks := l.sheet.Plots[i], rules(0.7, ink)
	for _, t := range ticks {
		x := plot.AtX(first(t.value))
		marks.add(x, y, x, y+tickLength)
	}
	l.shape(i, movement, marks.Shape)
	for _, t := range ticks {
		l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: i, Movement: movement, Words: &sheet.Text{
			X: plot.AtX(first(t.value)), Y: y + tickLength + tickSize, S: t.label, Size: tickSize, Color: ink, Anchor: sheet.Middle}})
	}
}

// axisName adds the unit of a second scale to the name of an axis.
func axisName(label string, below *RightScale) string {
	if below == nil || label == "" {
		return label
	}
	return label + ", below in " + below.Label
}

// axisHeight is how far what horizontalAxis writes reaches, with room below.
func (l *layout) axisHeight(plot sheet.Plot) float64 {
	height := numbersHeight
	if len(plot.Categories) > 0 {
		height = categoryNames(plot).depth
	} else if plot.Below != nil {
		height += belowHeight
	}
	if plot.Axis != "" && !l.isGrid() {
		height += axisSize + 3
	}
	return height + 6
}

// placed are the names of categories, each in rows within its width; names with
// a word that is wider stand upright.
type placed struct {
	rows    [][]string
	upright bool
	depth   float64
}

const categoryLine = tickSize + 2

func upright(name string) string { return strings.ReplaceAll(name, "\n", ", ") }

// broken breaks names of a size into rows within their room, and says whether a row
// is wider by more than slack, so that the names stand upright.
func broken(names []string, size, room, slack float64) (rows [][]string, upright bool) {
	for _, name := range names {
		var all []string
		for part := range strings.SplitSeq(name, "\n") {
			all = append(all, wrap(part, size, room)...)
		}
		upright = upright || slices.ContainsFunc(all, func(r string) bool { return sheet.Width(r, size) > room+slack })
		rows = append(rows, all)
	}
	return rows, upright
}

func categoryNames(plot sheet.Plot) placed {
	var n placed
	room := (plot.Box.Right-plot.Box.Left)/float64(len(plot.Categories)) - 4
	n.rows, n.upright = broken(plot.Categories, tickSize, room, 3)
	for _, rows := range n.rows {
		n.depth = max(n.depth, 4+categoryLine*float64(len(rows)))
	}
	if n.upright {
		n.depth = 0
		for _, name := range plot.Categories {
			n.depth = max(n.depth, sheet.Width(upright(name), tickSize)+5)
		}
	}
	return n
}

// categories writes the names of the positions and returns how far they reach.
func (l *layout) categories(plot sheet.Plot) float64 {
	n, y := categoryNames(plot), plot.Box.Bottom
	for k, all := range n.rows {
		x := plot.AtX(float64(k))
		if n.upright {
			l.text(sheet.Text{X: x + 3, Y: y + 4, S: upright(plot.Categories[k]), Size: tickSize, Color: ink, Anchor: sheet.End, Upright: true})
			continue
		}
		for j, r := range all {
			l.text(sheet.Text{X: x, Y: y + 3 + categoryLine*float64(j+1) - 2, S: r, Size: tickSize, Color: ink, Anchor: sheet.Middle})
		}
	}
	return n.depth
}
