package survey

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Drive is what belongs to one drive.
type Drive struct {
	From, To time.Time // on the folder's clock; zero where no file has a date
	Pieces   []*Piece
}

// Drives puts together what was recorded at the same time, in order of time.
func Drives(all []*Device) []Drive {
	var runsOf []run
	var undated []*Piece
	for _, d := range all {
		runsOf = append(runsOf, runs(d.pieces)...)
		for _, p := range d.pieces {
			if !p.dated {
				undated = append(undated, p)
			}
		}
	}
	slices.SortStableFunc(runsOf, func(a, b run) int { return cmp.Compare(a.from, b.from) })
	var groups []run
	for _, r := range runsOf {
		at := -1
		for i, g := range groups {
			shared := min(r.to, g.to) - max(r.from, g.from)
			if shared > 0.3*min(r.to-r.from, g.to-g.from) {
				at = i
			}
		}
		if at < 0 {
			groups = append(groups, r)
			continue
		}
		g := &groups[at]
		g.pieces = append(slices.Clone(g.pieces), r.pieces...)
		g.from, g.to = min(g.from, r.from), max(g.to, r.to)
	}
	var drives []Drive
	for _, g := range groups {
		drives = append(drives, Drive{From: instant(g.from), To: instant(g.to), Pieces: g.pieces})
	}
	for _, p := range undated {
		drives = append(drives, Drive{Pieces: []*Piece{p}})
	}
	return byName(drives, all)
}

func instant(s float64) time.Time {
	whole := math.Floor(s)
	return time.Unix(int64(whole), int64((s-whole)*1e9)).UTC()
}

// placeUndated gives files that know no date the drives of the others in their
// order, by how long they are: the cheapest way through both, where a drive or
// a file may be passed over.
func placeUndated(all []*Device) {
	drives := Drives(slices.DeleteFunc(slices.Clone(all), func(d *Device) bool { return !slices.ContainsFunc(d.pieces, func(p *Piece) bool { return p.dated }) }))
	drives = slices.DeleteFunc(drives, func(d Drive) bool { return d.From.IsZero() })
	for _, d := range all {
		var open []*Piece
		for _, p := range d.pieces {
			if !p.dated {
				open = append(open, p)
			}
		}
		if len(open) == 0 || len(drives) == 0 {
			continue
		}
		slices.SortStableFunc(open, func(a, b *Piece) int { return cmp.Compare(a.Path, b.Path) })
		for i, k := range inOrder(open, drives) {
			if k < 0 {
				continue
			}
			p, begin := open[i], float64(drives[k].From.Unix())
			length := p.to - p.from
			p.from, p.dated = begin, true
			p.to = begin + length
		}
		d.Clock = Clock{ZoneHours: math.NaN(), Low: math.Inf(-1), High: math.Inf(1)}
	}
}

// passed is what it costs to pass over a file or a drive; the logarithm of the
// ratio of lengths is what a pair costs.
const passed = 0.3

func inOrder(open []*Piece, drives []Drive) []int {
	n, m := len(open), len(drives)
	cost := make([][]float64, n+1)
	for i := range cost {
		cost[i] = make([]float64, m+1)
	}
	pair := func(i, k int) float64 {
		return math.Abs(math.Log(max(1, open[i].to-open[i].from) / max(1, drives[k].To.Sub(drives[k].From).Seconds())))
	}
	for i := n; i >= 0; i-- {
		for k := m; k >= 0; k-- {
			switch {
			case i == n:
				cost[i][k] = passed * float64(m-k)
			case k == m:
				cost[i][k] = passed * float64(n-i)
			default:
				cost[i][k] = min(pair(i, k)+cost[i+1][k+1], passed+cost[i+1][k], passed+cost[i][k+1])
			}
		}
	}
	at := make([]int, n)
	for i, k := 0, 0; i < n; {
		switch {
		case k == m || cost[i][k] == passed+cost[i+1][k]:
			at[i] = -1
			i++
		case cost[i][k] == passed+cost[i][k+1]:
			k++
		default:
			at[i] = k
			i, k = i+1, k+1
		}
	}
	return at
}
