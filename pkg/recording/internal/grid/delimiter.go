package grid

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findDelimiter tries each delimiter with each decimal mark and takes the pair
// under which most cells of equally long lines are numbers, times or words
// that stand for none.
func (g *Grid) findDelimiter() error {
	// So many times the score of an earlier one is needed to beat it: a file of
	// points that one delimiter splits well should not fall to another by a hair.
	const clearly = 1.03
	lines := g.probe(300)
	if len(lines) == 0 {
		return g.Src.Fail("holds no text, only blank lines", "export it again", account.ErrEmpty)
	}
	quoted, uncut := within(lines, '"'), false
	best, bestScore, bestDecimal := layout.Delimiter(""), -1.0, layout.DecimalPoint
	for _, delim := range []layout.Delimiter{layout.Tab, layout.Semicolon, layout.Pipe, layout.Comma, layout.Spaces, layout.WideSpaces} {
		if bestScore*clearly > 1 { // no score is greater
			break
		}
		if g.Layout.Delimiter != "" && delim != g.Layout.Delimiter {
			continue
		}
		if b := cell.DelimiterByte(delim); b > cell.WideSpaces && !within(lines, b) {
			if uncut { // all that are in no line cut them alike
				continue
			}
			uncut = true
		}
		for _, decimal := range []layout.Decimal{layout.DecimalPoint, layout.DecimalComma} {
			if g.Layout.Decimal != "" && decimal != g.Layout.Decimal {
				continue
			}
			if delim == layout.Comma && decimal == layout.DecimalComma && !quoted && g.Layout.Delimiter == "" {
				continue
			}
			if s := splitScore(lines, cell.DelimiterByte(delim), decimal[0]); s > bestScore*clearly+1e-9 {
				best, bestScore, bestDecimal = delim, s, decimal
			}
		}
	}
	if bestScore <= 0.05 {
		return g.Src.Fail(fmt.Sprintf("is text, but not a table of readings (line 1: %q)", cell.Excerpt(lines[0])),
			"pick the logger's export, or set delimiter and header_lines in the layout", account.ErrNotText)
	}
	g.Delimiter, g.Delim, g.Decimal = best, cell.DelimiterByte(best), bestDecimal[0]
	g.Note("delimiter", string(best), GivenOr(g.Layout.Delimiter != "", ""))
	word := "decimal point"
	if g.Decimal == ',' {
		word = "decimal comma"
	}
	g.Note("decimal", word, GivenOr(g.Layout.Decimal != "", ""))
	return nil
}

// within reports whether a byte stands in one of the lines.
func within(lines [][]byte, b byte) bool {
	return slices.ContainsFunc(lines, func(l []byte) bool { return bytes.IndexByte(l, b) >= 0 })
}

// splitScore is the share of lines that have the most common number of cells,
// times the share of their cells that are not plain text.
func splitScore(lines [][]byte, delim, decimal byte) float64 {
	counts := map[int]int{}
	typed := map[int]float64{}
	var cells [][]byte
	for _, l := range lines {
		cells = cell.Split(l, delim, cells)
		n, good, filled := len(cells), 0, 0
		for _, c := range cells {
			switch k := cell.Classify(cell.Trim(c), decimal); k {
			case cell.Empty:
			case cell.Text:
				filled++
			default:
				filled++
				good++
			}
		}
		if filled == 0 {
			continue
		}
		counts[n]++
		typed[n] += float64(good) / float64(filled)
	}
	best := 0.0
	for n, k := range counts {
		s := float64(k) / float64(len(lines)) * typed[n] / float64(k)
		if n == 1 {
			s *= 0.3
		}
		best = max(best, s)
	}
	return best
}
