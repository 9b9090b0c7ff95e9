package grid

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
)

// firstRow returns the index of the first row of values, −1 where there is none.
func (g *Grid) firstRow(kinds []cell.Kind, width int) int {
	if h := g.Layout.HeaderLines; h != nil {
		return min(*h, g.Sample.Head)
	}
	for i, l := range g.Sample.Lines[:g.Sample.Head] {
		if g.looksLikeRow(g.CellsOf(l.Text), kinds, width) {
			return i
		}
	}
	return -1
}

// leadingTimes counts the cells of a row, from the first, that are dates and times
// of day.
func leadingTimes(kinds []cell.Kind) int {
	for n, k := range kinds {
		if k != cell.Date && k != cell.Clock && k != cell.HalfDay {
			return n
		}
	}
	return len(kinds)
}

// findHeader finds the first row of values and the names before it.
func (g *Grid) findHeader() error {
	lines := g.Sample.Lines
	kinds, width := g.majority()
	g.inTimes = leadingTimes(kinds)
	g.First = g.firstRow(kinds, width)
	if g.First < 0 || g.First >= g.Sample.Head {
		return g.Src.Fail(fmt.Sprintf("has no row of values in its first %d lines (line 1: %q)", g.Sample.Head, cell.Excerpt(lines[0].Text)),
			"check that the logger recorded anything, or set delimiter and header_lines in the layout", account.ErrNoData)
	}
	g.Fields = width
	names := g.names(width, g.damagedAbove(kinds))
	reason := GivenOr(g.Layout.HeaderLines != nil, "")
	switch {
	case g.First == 0:
		g.Note("header_lines", "no header", reason)
	default:
		g.Note("header_lines", words.Plural(g.First, "header line"), reason)
	}
	if len(names) > width {
		// Rows shorter than the header: fine if some rows are full.
		full := 0
		for _, l := range lines[g.First:] {
			if len(g.CellsOf(l.Text)) == len(names) {
				full++
			}
		}
		if full == 0 && !g.numbered(width) {
			return g.Src.Fail(fmt.Sprintf("names %d columns in line %d, but its rows have %d cells, so that it can't be told which column is missing", len(names), g.First, width),
				"give each column a number and name under [[columns]] in the layout", account.ErrNoData)
		}
		if full > 0 {
			g.Fields = len(names)
			if rows := len(lines) - g.First; full*20 <= rows || full == 1 {
				g.Least = width
				g.Note("columns", fmt.Sprintf("most rows end behind column %d", width), fmt.Sprintf("%d of %d rows are full", full, rows))
			}
		} else {
			names = names[:width]
		}
	}
	if g.Delim == ',' && len(names) >= 2 && len(names) < width {
		if err := g.checkCommas(names, kinds, width); err != nil {
			return err
		}
	}
	if len(names) == 0 {
		if err := g.refuseBothCommas(kinds, width); err != nil {
			return err
		}
	}
	g.Header = make([]string, g.Fields)
	copy(g.Header, names)
	return nil
}

// majority returns the most common kind of cell in each column of the most
// common kind of line, and that line's number of cells.
func (g *Grid) majority() ([]cell.Kind, int) {
	counts := map[int]int{}
	for _, l := range g.probe(400) {
		counts[len(g.CellsOf(l))]++
	}
	width := 0
	for n, k := range counts {
		if k > counts[width] || (k == counts[width] && n > width) {
			width = n
		}
	}
	tally := make([][cell.Kinds]int, width)
	for _, l := range g.probe(400) {
		cells := g.CellsOf(l)
		if len(cells) != width {
			continue
		}
		for i, c := range cells {
			k := cell.Classify(c, g.Decimal)
			if k == cell.DayMonth || k == cell.Grouped {
				k = cell.Numeric
			}
			tally[i][k]++
		}
	}
	kinds := make([]cell.Kind, width)
	for i, t := range tally {
		kinds[i] = mostCommon(t)
	}
	return kinds, width
}

// mostCommon returns the kind of most cells, leaving empty ones and words for
// no value aside.
func mostCommon(count [cell.Kinds]int) cell.Kind {
	best, most := cell.Empty, 0
	for k, n := range count {
		if kind := cell.Kind(k); kind != cell.Empty && kind != cell.NoValue && (n > most || n == most && n > 0 && best == cell.Text) {
			best, most = kind, n
		}
	}
	return best
}

// looksLikeRow reports whether a line has times where the other lines have
// times, and numbers where they have numbers.
func (g *Grid) looksLikeRow(cells [][]byte, kinds []cell.Kind, width int) bool {
	n := cell.Filled(cells)
	if n == 0 || (width > 1 && n < 2) || len(cells) < (width+1)/2 {
		return false
	}
	times, match, asked := 0, 0, 0
	for i, c := range cells {
		if i >= width || len(c) == 0 {
			continue
		}
		switch kinds[i] {
		case cell.Date, cell.Clock, cell.Stamp:
			times++
			if k := cell.Classify(c, g.Decimal); k != kinds[i] {
				return false
			}
		case cell.Numeric, cell.UnitNumeric:
			asked++
			k := cell.Classify(c, g.Decimal)
			if k == cell.Text && heading.SuggestsTime(cell.Decode(c)) {
				return false // a name, whatever numbers follow it
			}
			if k != cell.Text && k != cell.Unit {
				match++
			}
		}
	}
	return (times > 0 && 3*match >= asked) || (asked > 0 && 2*match > asked && times == 0)
}

// damagedAbove lists the lines right above the first row that begin with a time
// as rows do as damaged, and returns the index of the line above them.
func (g *Grid) damagedAbove(kinds []cell.Kind) int {
	from := g.First - 1
	if g.Layout.HeaderLines != nil || len(kinds) == 0 || kinds[0] != cell.Date && kinds[0] != cell.Stamp && kinds[0] != cell.Clock {
		return from
	}
	for ; from >= 0; from-- {
		cells := g.CellsOf(g.Sample.Lines[from].Text)
		if cell.Filled(cells) < 2 || cell.Classify(cells[0], g.Decimal) != kinds[0] {
			break
		}
		g.Damaged = append(g.Damaged, from)
	}
	return from
}

// names finds the names and units in the lines before the first row.
func (g *Grid) names(width, from int) []string {
	var names []string
	if i := g.lineOfNames(width); i >= 0 {
		for k := i + 1; k < g.First; k++ {
			if g.damagedRow(g.Sample.Lines[k].Text, width) {
				g.Damaged = append(g.Damaged, k)
			}
		}
		if len(g.Damaged) > 0 {
			from = i
		}
	}
	for i := from; i >= 0; i-- {
		text := g.Sample.Lines[i].Text
		cells := g.headerCells(text, width)
		n := cell.Filled(cells)
		if n == 0 || onlyRule(text) {
			continue
		}
		if n < 2 && width > 1 {
			break
		}
		row := make([]string, n)
		unitCells := 0
		for j, c := range cells[:n] {
			row[j] = cell.Clean(c)
			if _, ok := unit.LookUp(strings.Trim(row[j], "[]()")); ok || row[j] == "" || row[j] == "-" {
				unitCells++
			}
		}
		if names == nil && unitCells*2 > n && i > 0 && g.Units == nil {
			if above := g.headerCells(g.Sample.Lines[i-1].Text, width); cell.Filled(above) >= 2 {
				g.Units = row
				continue
			}
		}
		return row
	}
	return names
}

// onlyRule reports whether a line is drawn rather than written: |---|:--|.
func onlyRule(text []byte) bool {
	return bytes.Contains(text, []byte("--")) && len(bytes.Trim(text, "-=+|: \t")) == 0
}

// headerCells splits a line of names. Where cells are aligned by spaces, names
// may hold single spaces themselves.
func (g *Grid) headerCells(text []byte, width int) [][]byte {
	cells := g.CellsOf(text)
	if g.Delim > cell.WideSpaces || len(cells) == width {
		return cells
	}
	var wide [][]byte
	for _, c := range bytes.Split(bytes.ReplaceAll(text, []byte("\t"), []byte("  ")), []byte("  ")) {
		if c = cell.Trim(c); len(c) > 0 {
			wide = append(wide, c)
		}
	}
	if len(wide) == width+1 && len(wide) > 2 && heading.SuggestsTime(cell.Decode(wide[0])+" "+cell.Decode(wide[1])) && !strings.ContainsAny(cell.Decode(wide[1]), "([") {
		wide = append([][]byte{append(append(bytes.Clone(wide[0]), ' '), wide[1]...)}, wide[2:]...) // "Date  Time" over one column of stamps
	}
	if len(wide) == width {
		return wide
	}
	var glued [][]byte
	for _, c := range cells { // "T1 (°C)"
		if len(glued) > 0 && len(c) > 0 && (c[0] == '(' || c[0] == '[') {
			glued[len(glued)-1] = append(append(bytes.Clone(glued[len(glued)-1]), ' '), c...)
			continue
		}
		glued = append(glued, c)
	}
	if len(glued) == width {
		return glued
	}
	if names := g.overTimes(wide, width); names != nil {
		return names
	}
	return g.overTimes(glued, width)
}

// overTimes gives the first of the names, that of a time, to all cells of a date
// and its time of day; nil where that does not give as many as cells.
func (g *Grid) overTimes(names [][]byte, width int) [][]byte {
	n := g.inTimes - 1
	if n < 1 || len(names) < 2 || len(names) != width-n || !heading.SuggestsTime(cell.Decode(names[0])) {
		return nil
	}
	return append(append([][]byte{names[0]}, make([][]byte, n)...), names[1:]...)
}

// numbered reports whether the layout says what each of the first n columns is.
func (g *Grid) numbered(n int) bool {
	seen := 0
	for _, c := range g.Layout.Columns {
		if c.Number > 0 && c.Number <= n {
			seen++
		}
	}
	return seen == n
}

// checkCommas refuses a file that uses the comma for both: one cell each for
// the times, two for each number.
func (g *Grid) checkCommas(names []string, kinds []cell.Kind, width int) error {
	for _, k := range kinds {
		if k == cell.Empty || k == cell.Unit { // cells without a name, not halves of numbers
			return nil
		}
	}
	times := 0
	for times < width && kinds[times] != cell.Numeric {
		times++
	}
	if width-times != 2*(len(names)-times) {
		return nil
	}
	return g.Src.Fail(fmt.Sprintf("uses the comma both between cells and as decimal mark (line %d names %d columns, its rows have %d cells)", g.First, len(names), width),
		"export it with semicolons or with a decimal point", account.ErrNoData)
}
