package scene

import (
	"image/color"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

const (
	laneHeight = 5.0 // of the strip in full colour at the foot of named bands
	leastBand  = 3.0 // a narrower one is overlooked and gets a mark
	markHeight = 6.0
)

// look is the colour of a band with whether it has a name.
type look struct {
	color color.NRGBA
	named bool
}

// bandsByLook joins bands of one look, so that each look is drawn once.
func bandsByLook(p Panel, plot sheet.Plot) (order []look, spans map[look][]sheet.Range) {
	spans = map[look][]sheet.Range{}
	for _, b := range p.Bands {
		from, to := max(plot.Box.Left, plot.AtX(b.From)), min(plot.Box.Right, plot.AtX(b.To))
		if !(from < to) {
			continue
		}
		k := look{b.Color, b.Label != ""}
		if _, known := spans[k]; !known {
			order = append(order, k)
		}
		spans[k] = append(spans[k], sheet.Range{From: from, To: to})
	}
	return order, spans
}

func rectangle(r sheet.Range, top, bottom float64) []sheet.Point {
	return []sheet.Point{{X: r.From, Y: top}, {X: r.To, Y: top}, {X: r.To, Y: bottom}, {X: r.From, Y: bottom}}
}

// tints shades the bands behind everything.
func (l *layout) tints(i int, p Panel, plot sheet.Plot) {
	order, spans := bandsByLook(p, plot)
	for _, k := range order {
		s := sheet.Shape{Fill: k.color}
		for _, r := range spans[k] {
			s.Runs = append(s.Runs, rectangle(r, plot.Box.Top, plot.Box.Bottom))
		}
		l.shape(i, sheet.Stretches, s)
	}
}

// bands makes the shaded stretches plain: named ones by a strip in full colour
// at the foot, others by their edges; those too short to see get a mark.
func (l *layout) bands(i int, p Panel, plot sheet.Plot) {
	b := plot.Box
	order, spans := bandsByLook(p, plot)
	for _, k := range order {
		strip := sheet.Shape{Fill: opaque(k.color)}
		edges := sheet.Shape{Stroke: sheet.Stroke{Color: opaque(k.color), Width: 0.7}}
		for _, r := range spans[k] {
			strip.Runs = append(strip.Runs, rectangle(r, b.Bottom-laneHeight, b.Bottom))
			edges.Runs = append(edges.Runs, []sheet.Point{{X: r.From, Y: b.Top}, {X: r.From, Y: b.Bottom}}, []sheet.Point{{X: r.To, Y: b.Top}, {X: r.To, Y: b.Bottom}})
			if k.named && r.To-r.From < leastBand {
				l.bandMark(i, (r.From+r.To)/2, b.Bottom-laneHeight, opaque(k.color))
			}
		}
		if k.named {
			l.shape(i, sheet.Stretches, strip)
		} else {
			l.shape(i, sheet.Stretches, edges)
		}
	}
}

// bandMark is a small arrow head that points at a stretch too short to see.
func (l *layout) bandMark(i int, x, y float64, c color.NRGBA) {
	s := sheet.Shape{Fill: c, Runs: [][]sheet.Point{{{X: x, Y: y}, {X: x - 3.5, Y: y - markHeight}, {X: x + 3.5, Y: y - markHeight}}}}
	l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: i, Movement: sheet.Follows, At: x, Shape: &s})
}

// events draws vertical lines with their names.
func (l *layout) events(i int, p Panel, plot sheet.Plot) {
	names := p.eventNames(plot)
	for k, m := range p.Markers {
		if !(m.X >= plot.X.From && m.X <= plot.X.To) {
			continue
		}
		x := plot.AtX(m.X)
		s := rule(x, plot.Box.Top, x, plot.Box.Bottom, 0, ink)
		s.Stroke = m.Style.stroke()
		l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: i, Movement: sheet.Follows, At: x, Shape: &s})
		if t := names[k]; t != nil {
			l.sheet.Items = append(l.sheet.Items, sheet.Item{Plot: i, Movement: sheet.Follows, At: x, Words: t})
		}
	}
}

// eventNames places the names of events at the top, each on the side with
// room, below one another where they would meet.
func (p Panel) eventNames(plot sheet.Plot) map[int]*sheet.Text {
	names := map[int]*sheet.Text{}
	for k, m := range p.Markers {
		if m.Label == "" || !(m.X >= plot.X.From && m.X <= plot.X.To) {
			continue
		}
		t := p.besideEvent(k, plot)
		for row := 0; row < 6; row++ {
			t.Y = plot.Box.Top + 10 + 12*float64(row)
			if !meets(t.Box(), names) {
				break
			}
		}
		names[k] = t
	}
	return names
}

// besideEvent is the name of an event on the right of its line, or on the left
// where it would leave the plot, or lie on another event's line, on the right only.
func (p Panel) besideEvent(k int, plot sheet.Plot) *sheet.Text {
	m := p.Markers[k]
	x, width := plot.AtX(m.X), sheet.Width(m.Label, legendSize)
	t := &sheet.Text{X: x + 4, S: m.Label, Size: legendSize, Color: m.Style.color(), Halo: true}
	free := func(from, to float64) bool {
		for i, o := range p.Markers {
			if at := plot.AtX(o.X); i != k && at > from && at < to {
				return false
			}
		}
		return from >= plot.Box.Left && to <= plot.Box.Right
	}
	if x+4+width > plot.Box.Right || !free(x+4, x+4+width+2) && free(x-4-width-2, x-4) {
		t.X, t.Anchor = x-4, sheet.End
	}
	return t
}

// headroom is where a panel ends above so that the rows of its events' names, of
// which a narrow picture has more, stand above what is drawn.
func (p Panel) headroom(plot sheet.Plot) float64 {
	names := p.eventNames(plot)
	if len(names) == 0 || p.Limits != nil || len(p.Rows) > 0 {
		return plot.Y.To
	}
	height, rows := plot.Box.Bottom-plot.Box.Top, 0.0
	for _, t := range names {
		rows = max(rows, t.Box().Bottom-plot.Box.Top)
	}
	top := p.drawn().hi // −∞ where nothing is drawn
	return max(plot.Y.To, plot.Y.From+(top-plot.Y.From)*height/(height-min(rows, height/2)))
}

func meets(b sheet.Box, names map[int]*sheet.Text) bool {
	for _, n := range names {
		if b.Overlaps(n.Box()) {
			return true
		}
	}
	return false
}
