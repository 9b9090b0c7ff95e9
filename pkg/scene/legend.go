package scene

import (
	"image/color"
	"maps"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// entry is one line, symbol or colour with its name.
type entry struct {
	label string
	style Style
	fill  *color.NRGBA // a band or a ribbon
	point bool
	// strip tells that the full colour is at the foot of the area.
	strip bool
}

const (
	sampleWidth = 20.0
	legendSpace = 14.0
)

// entries collects every distinct name once, in the order of drawing, without
// the lines that are named where they are drawn: in rows, or by direct, in
// whatever panel.
func (f *Figure) entries(direct []map[string]bool) []entry {
	var all []entry
	seen := map[string]bool{"": true}
	add := func(e entry) {
		if !seen[e.label] {
			seen[e.label] = true
			all = append(all, e)
		}
	}
	named := map[string]bool{}
	for _, names := range direct {
		maps.Copy(named, names)
	}
	for _, p := range f.Panels {
		for _, l := range p.Lines {
			if len(p.Rows) == 0 && !named[l.Label] {
				add(entry{label: l.Label, style: l.Style})
			}
		}
		for _, q := range p.Points {
			add(entry{label: q.Label, style: q.Style, point: true})
		}
		for _, r := range p.Ribbons {
			c := r.Style.color()
			add(entry{label: r.Label, style: r.Style, fill: &c})
		}
		for _, b := range p.Bands {
			c := b.Color
			add(entry{label: b.Label, fill: &c, strip: true})
		}
	}
	return all
}

// legend writes the names that stand nowhere else, in rows above the panels,
// where they hide nothing.
func (l *layout) legend() {
	all := l.figure.entries(l.direct)
	if len(all) == 0 {
		return
	}
	x := l.width
	for _, e := range all {
		w := sampleWidth + 4 + sheet.Width(e.label, legendSize)
		if x+w > l.width-margin {
			x, l.y = margin, l.y+legendLine
		}
		l.sample(e, x, l.y-7)
		l.text(sheet.Text{X: x + sampleWidth + 4, Y: l.y - 7 + 0.35*legendSize, S: e.label, Size: legendSize, Color: ink})
		x += w + legendSpace
	}
	l.y += 2
}

// sample draws what an entry stands for, about a place at its left.
func (l *layout) sample(e entry, x, y float64) {
	area := rectangle(sheet.Range{From: x, To: x + sampleWidth}, y-4, y+4)
	foot := rectangle(sheet.Range{From: x, To: x + sampleWidth}, y+4-laneHeight, y+4)
	switch {
	case e.strip:
		l.shape(sheet.None, sheet.Fixed, sheet.Shape{Runs: [][]sheet.Point{area}, Fill: *e.fill})
		l.shape(sheet.None, sheet.Fixed, sheet.Shape{Runs: [][]sheet.Point{foot}, Fill: opaque(*e.fill)})
	case e.fill != nil:
		l.shape(sheet.None, sheet.Fixed, sheet.Shape{Runs: [][]sheet.Point{area}, Fill: tinted(*e.fill)})
		for _, edge := range []float64{y - 4, y + 4} {
			l.shape(sheet.None, sheet.Fixed, rule(x, edge, x+sampleWidth, edge, 0.7, *e.fill))
		}
	case e.point:
		l.shape(sheet.None, sheet.Fixed, sheet.Shape{Runs: [][]sheet.Point{{{X: x + sampleWidth/2, Y: y}}},
			Stroke: sheet.Stroke{Color: e.style.color(), Width: dotSize}, Dots: true, Hollow: e.style.Hollow})
	default:
		s := rule(x, y, x+sampleWidth, y, 0, ink)
		s.Stroke = e.style.stroke()
		s.Stroke.Width = min(s.Stroke.Width, 7)
		l.shape(sheet.None, sheet.Fixed, s)
	}
}
