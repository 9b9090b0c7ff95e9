package grid

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
)

// endAtOtherNames ends the sample before a line of other names, where another
// session with other columns begins: what is below it would blur what the first
// one is like.
func (g *Grid) endAtOtherNames() {
	if g.Layout.HeaderLines != nil && *g.Layout.HeaderLines == 0 {
		return
	}
	var first []string
	rows := 0
	for i, l := range g.Sample.Lines[:g.Sample.Head] {
		names := g.namesIn(l.Text)
		switch {
		case names == nil:
			rows++
		case first == nil || rows < fewestRows:
			first, rows = names, 0
		case !slices.Equal(names, first) && alike(names, first):
			g.Sample.Lines, g.Sample.Head, g.Sample.Whole = g.Sample.Lines[:i], i, false
			return
		}
	}
}

// fewestRows is how many rows a session has at least.
const fewestRows = 3

// namesIn returns the cells of a line if all of them are words, at least two; nil
// otherwise.
func (g *Grid) namesIn(text []byte) []string {
	cells := g.CellsOf(text)
	if len(cells) < 2 {
		return nil
	}
	var names []string
	for _, c := range cells {
		if k := cell.Classify(c, g.Decimal); k != cell.Text || !readableWord(c) {
			return nil
		}
		names = append(names, cell.Clean(c))
	}
	return names
}

// alike reports whether lines of names are of one device: two names are in both,
// or that of the time.
func alike(a, b []string) bool {
	shared := 0
	for _, x := range a {
		x, _, _ = heading.CutUnit(x)
		for _, y := range b {
			if y, _, _ := heading.CutUnit(y); x == y {
				if shared++; heading.SuggestsTime(x) || shared > 1 {
					return true
				}
			}
		}
	}
	return false
}
