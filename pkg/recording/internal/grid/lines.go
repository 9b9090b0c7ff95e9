package grid

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Named reports whether the file names its columns.
func (g *Grid) Named() bool {
	return slices.ContainsFunc(g.Header, func(h string) bool { return h != "" })
}

// Note keeps a finding.
func (g *Grid) Note(property, value, reason string) {
	g.Findings.Findings = append(g.Findings.Findings, account.Finding{Property: property, Value: value, Reason: reason})
}

// GivenOr is the reason for a finding that the layout may have given.
func GivenOr(given bool, reason string) string {
	if given {
		return "layout"
	}
	return reason
}

// HeaderText is the name of a column for a person.
func (g *Grid) HeaderText(number int) string {
	if s := g.Header[number-1]; s != "" {
		return fmt.Sprintf("column %d, %q", number, s)
	}
	return fmt.Sprintf("column %d", number)
}

// LayoutFor returns what the layout says about a column.
func (g *Grid) LayoutFor(number int) (layout.ColumnLayout, bool) {
	name, _, _ := heading.CutUnit(g.Header[number-1])
	for _, c := range g.Layout.Columns {
		if c.Number == number || (c.Number == 0 && c.Name != "" && (equalFold(c.Name, name) || equalFold(c.Name, g.Header[number-1]))) {
			return c, true
		}
	}
	return layout.ColumnLayout{}, false
}

func equalFold(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

// probe returns up to n lines of the sample that are worth a look, in runs of
// lines that follow one another: where channels take turns, each second line alone
// would show one of them.
func (g *Grid) probe(n int) [][]byte {
	var lines [][]byte
	for _, l := range g.Sample.Lines {
		if len(bytes.TrimSpace(l.Text)) > 0 {
			lines = append(lines, l.Text)
		}
	}
	if len(lines) > n {
		const run = 20
		kept := lines[:0:0]
		for k := range n / run {
			from := (len(lines) - run) * k / max(1, n/run-1)
			kept = append(kept, lines[from:from+run]...)
		}
		lines = kept
	}
	return lines
}

// CellsOf splits a line with the delimiter found. The result is good until the
// next call.
func (g *Grid) CellsOf(line []byte) [][]byte {
	g.cells = cell.Split(line, g.Delim, g.cells)
	for i, c := range g.cells {
		g.cells[i] = cell.Trim(c)
	}
	return g.cells
}
