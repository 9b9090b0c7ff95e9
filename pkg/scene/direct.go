package scene

import (
	"image/color"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// nameDirectly finds places beside the lines for their names, panel by panel.
// A line whose name finds no place clearly nearer to it than to any other line
// is named in the legend; so are all lines of a look that is named there.
func (l *layout) nameDirectly(plots []sheet.Plot, curves [][]curve) [][]sheet.Text {
	names := make([][]sheet.Text, len(plots))
	for i, p := range l.figure.Panels {
		if len(p.Rows) > 0 || repeats(p.Lines) {
			continue
		}
		s := newSurroundings(p, plots[i], curves[i])
		for k, c := range curves[i] {
			if c.line.Label == "" {
				continue
			}
			if t, ok := s.place(k); ok {
				t.Color, t.S, t.Size = opaque(c.line.Style.color()), c.line.Label, legendSize
				names[i] = append(names[i], t)
				s.taken = append(s.taken, t.Box())
				l.direct[i][c.line.Label] = true
			}
		}
	}
	return names
}

// repeats reports whether several lines of a panel share a name.
func repeats(lines []Line) bool {
	seen := map[string]bool{}
	for _, l := range lines {
		if l.Label != "" && seen[l.Label] {
			return true
		}
		seen[l.Label] = true
	}
	return false
}

// surroundings are the lines of a panel, column by column, and the places that
// are taken.
type surroundings struct {
	plot   sheet.Plot
	curves []curve
	reach  [][]sheet.Range // of each curve in each column: highest and lowest place; From above To for none
	edges  [][]sheet.Range // of the edges of areas, likewise
	areas  []area
	taken  []sheet.Box
	foot   float64 // how far from the lower edge names stay
}

// area is where one colour fills a panel, column by column.
type area struct {
	color color.NRGBA
	reach []sheet.Range
}

// between joins two reaches column by column.
func between(a, b []sheet.Range) []sheet.Range {
	all := make([]sheet.Range, len(a))
	for i := range a {
		all[i] = sheet.Range{From: math.Min(a[i].From, b[i].From), To: math.Max(a[i].To, b[i].To)}
	}
	return all
}

// footOf is how far from the lower edge of a panel names stay: off the strip of
// named bands and the marks of short ones.
func footOf(p Panel, plot sheet.Plot) float64 {
	for _, b := range p.Bands {
		if w := plot.AtX(b.To) - plot.AtX(b.From); b.Label != "" && w > 0 && w < leastBand {
			return laneHeight + markHeight + 1
		}
	}
	return laneHeight + 1
}

func newSurroundings(p Panel, plot sheet.Plot, curves []curve) *surroundings {
	s := &surroundings{plot: plot, curves: curves, foot: footOf(p, plot)}
	if p.ZeroLine && plot.Y.From < 0 && plot.Y.To > 0 {
		zero := plot.AtY(0)
		s.taken = append(s.taken, sheet.Box{Left: plot.Box.Left, Right: plot.Box.Right, Top: zero - 0.5, Bottom: zero + 0.5})
	}
	columns := int(plot.Box.Right-plot.Box.Left) + 1
	for _, c := range curves {
		s.reach = append(s.reach, reach(c, plot.Box.Left, columns))
	}
	for _, r := range p.Ribbons {
		sides := Panel{Lines: []Line{{X: r.X, Y: r.Lo}, {X: r.X, Y: r.Hi}}}.curves(plot, still.cells)
		low, high := reach(sides[0], plot.Box.Left, columns), reach(sides[1], plot.Box.Left, columns)
		s.edges = append(s.edges, low, high)
		s.areas = append(s.areas, area{opaque(r.Style.color()), between(low, high)})
	}
	for _, t := range p.eventNames(plot) {
		s.taken = append(s.taken, t.Box())
	}
	for _, t := range p.valueTexts(plot) {
		b := t.Box() // a word beside a number reads as one with it
		b.Left, b.Right = b.Left-legendSize, b.Right+legendSize
		s.taken = append(s.taken, b)
	}
	for _, q := range p.Points {
		for k := range q.X {
			if b := q.box(k, plot); finite(b.Left) && finite(b.Top) {
				s.taken = append(s.taken, b)
			}
		}
	}
	return s
}

// reach tells for every column how far up and down a curve goes in it.
func reach(c curve, left float64, columns int) []sheet.Range {
	all := make([]sheet.Range, columns)
	for i := range all {
		all[i] = sheet.Range{From: math.Inf(1), To: math.Inf(-1)}
	}
	for _, run := range c.runs {
		for k := 1; k < len(run); k++ {
			a, b := run[k-1], run[k]
			from, to := int(a.X-left), int(b.X-left)
			for x := max(from, 0); x <= min(to, columns-1); x++ {
				u, v := a.Y, b.Y
				if to > from {
					slope := (b.Y - a.Y) / (b.X - a.X)
					at := left + float64(x)
					u = a.Y + slope*(math.Max(at, a.X)-a.X)
					v = a.Y + slope*(math.Min(at+1, b.X)-a.X)
				}
				all[x].From = math.Min(all[x].From, math.Min(u, v))
				all[x].To = math.Max(all[x].To, math.Max(u, v))
			}
		}
	}
	return all
}

// place looks for the best place beside curve k: nearer to it than to others,
// and as far to the right as that allows.
func (s *surroundings) place(k int) (best sheet.Text, ok bool) {
	w := sheet.Width(s.curves[k].line.Label, legendSize)
	b := s.plot.Box
	most := math.Inf(-1)
	for left := b.Right - w - 3; left >= b.Left+3; left -= 6 {
		own, whole := span(s.reach[k], int(left-b.Left), int(left+w-b.Left)+1)
		if !whole || own.To-own.From > 18 {
			continue
		}
		for _, above := range []bool{true, false} {
			box := sheet.Box{Left: left, Right: left + w, Top: own.From - 3 - legendSize, Bottom: own.From - 2}
			if !above {
				box.Top, box.Bottom = own.To+2, own.To+3+legendSize
			}
			away, free := s.clearance(k, box)
			near := 3 + (own.To-own.From)/2
			if !free || away < near+3 {
				continue
			}
			if score := math.Min(away, 25) - near - 0.02*(b.Right-left); score > most {
				most, ok = score, true
				best = sheet.Text{X: left, Y: box.Bottom - sheet.Descent(legendSize)}
			}
		}
	}
	return best, ok
}

// clearance returns how far a box is from every other curve; free is false
// where it meets one, the edge of an area, an area of another colour, something
// else, or the edge of the panel.
func (s *surroundings) clearance(k int, box sheet.Box) (away float64, free bool) {
	b := s.plot.Box
	if box.Top < b.Top+1 || box.Bottom > b.Bottom-s.foot {
		return 0, false
	}
	if slices.ContainsFunc(s.taken, box.Overlaps) {
		return 0, false
	}
	from, to := int(box.Left-b.Left), int(box.Right-b.Left)+1
	for _, edge := range s.edges {
		if e, _ := span(edge, from, to); e.From < box.Bottom && box.Top < e.To {
			return 0, false
		}
	}
	own := opaque(s.curves[k].line.Style.color())
	for _, a := range s.areas {
		if r, _ := span(a.reach, from, to); a.color != own && r.From < box.Bottom && box.Top < r.To {
			return 0, false
		}
	}
	away = math.Inf(1)
	for j := range s.curves {
		if j == k {
			continue
		}
		other, _ := span(s.reach[j], from, to)
		if other.From > other.To {
			continue
		}
		gap := math.Max(other.From-box.Bottom, box.Top-other.To)
		if gap <= 1 {
			return 0, false
		}
		away = math.Min(away, gap)
	}
	return away, true
}

// span joins the columns from a to b; whole is false where one of them is empty.
func span(reach []sheet.Range, a, b int) (r sheet.Range, whole bool) {
	r, whole = sheet.Range{From: math.Inf(1), To: math.Inf(-1)}, true
	for x := max(a, 0); x < min(b, len(reach)); x++ {
		if reach[x].From > reach[x].To {
			whole = false
			continue
		}
		r.From, r.To = math.Min(r.From, reach[x].From), math.Max(r.To, reach[x].To)
	}
	return r, whole
}
