package recording

import (
	"bytes"
	"fmt"
	"strings"
)

// detector finds out how a text file is laid out, step by step. Each step
// leaves what it found and says why.
type detector struct {
	src      *source
	sample   *sample
	layout   Layout
	found    Detection
	warnings warnings

	delimiter Delimiter
	delim     byte
	decimal   byte
	fields    int      // cells in a full row
	first     int      // index in sample.lines of the first row of values
	header    []string // names, one for each field; empty where none
	units     []string // from a line of units, or nil
	evidence  []evidence
	columns   []planColumn
	clock     clockPlan
	dates     []seenDate // of the sample
	cells     [][]byte   // buffer of cellsOf
}

// planColumn is what is to be read from one column of the file.
type planColumn struct {
	heading
	unitAt int // number of the column that holds its unit, or 0
	signAt int // number of the column that holds N, S, E or W, or 0
	// longest is the length beyond which a number is two that lost what stood
	// between them.
	longest int
	// low and high, in the file's unit, are where values stop being values.
	low, high *float64
	bare      bool // named like a bare logger input, or not at all
}

// evidence is what the sample's cells of one column look like.
type evidence struct {
	kind      cellKind
	count     [cellKinds]int
	values    []float64
	head      int // how many of values come from the head of the file
	unit      string
	firstText string
	fraction  bool // some number has a decimal mark
	digits    int  // length of all bare numbers
}

// detectText finds out how a text file is laid out.
func detectText(src *source, layout Layout) (*detector, error) {
	s, err := takeSample(src)
	if err != nil {
		return nil, err
	}
	d := &detector{src: src, sample: s, layout: layout}
	d.note("encoding", string(src.encoding), givenOr(layout.Encoding != "", ""))
	for _, step := range []func() error{
		d.findDelimiter, d.findHeader, d.gather, d.findTime, d.findDateOrder, d.refuseLong, d.findContents, d.findTemperatureUnit, d.findSpeedUnit,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	for _, c := range d.columns {
		if c.unit != nil && c.reason != "" {
			d.note("unit", c.unit.name+" in "+c.name, c.reason)
		}
	}
	return d, nil
}

// note keeps a finding.
func (d *detector) note(property, value, reason string) {
	d.found.Findings = append(d.found.Findings, Finding{Property: property, Value: value, Reason: reason})
}

func givenOr(given bool, reason string) string {
	if given {
		return "layout"
	}
	return reason
}

// probe returns up to n lines of the sample that are worth a look: the end of
// the head rather than its beginning, where the preamble is.
func (d *detector) probe(n int) [][]byte {
	var lines [][]byte
	for _, l := range d.sample.lines {
		if len(bytes.TrimSpace(l.text)) > 0 {
			lines = append(lines, l.text)
		}
	}
	if len(lines) > n {
		step := len(lines) / n
		kept := lines[:0:0]
		for i := step / 2; i < len(lines); i += step {
			kept = append(kept, lines[i])
		}
		lines = kept
	}
	return lines
}

// findDelimiter tries each delimiter with each decimal mark and takes the pair
// under which most cells of equally long lines are numbers, times or words
// that stand for none.
func (d *detector) findDelimiter() error {
	lines := d.probe(300)
	if len(lines) == 0 {
		return d.src.fail("holds no text, only blank lines", "export it again", ErrEmpty)
	}
	quoted := false
	for _, l := range lines {
		quoted = quoted || bytes.IndexByte(l, '"') >= 0
	}
	best, bestScore, bestDecimal := Delimiter(""), -1.0, DecimalPoint
	for _, delim := range []Delimiter{Tab, Semicolon, Pipe, Comma, Spaces, WideSpaces} {
		if d.layout.Delimiter != "" && delim != d.layout.Delimiter {
			continue
		}
		for _, decimal := range []Decimal{DecimalPoint, DecimalComma} {
			if d.layout.Decimal != "" && decimal != d.layout.Decimal {
				continue
			}
			if delim == Comma && decimal == DecimalComma && !quoted && d.layout.Delimiter == "" {
				continue
			}
			// 3 % more is needed to beat an earlier one: a file of points that
			// one delimiter splits well should not fall to another by a hair.
			if s := splitScore(lines, delim.delimiterByte(), decimal[0]); s > bestScore*1.03+1e-9 {
				best, bestScore, bestDecimal = delim, s, decimal
			}
		}
	}
	if bestScore <= 0.05 {
		return d.src.fail(fmt.Sprintf("is text, but not a table of readings (line 1: %q)", excerpt(lines[0])),
			"pick the logger's export, or set delimiter and header_lines in the layout", ErrNotText)
	}
	d.delimiter, d.delim, d.decimal = best, best.delimiterByte(), bestDecimal[0]
	d.note("delimiter", string(best), givenOr(d.layout.Delimiter != "", ""))
	word := "decimal point"
	if d.decimal == ',' {
		word = "decimal comma"
	}
	d.note("decimal", word, givenOr(d.layout.Decimal != "", ""))
	return nil
}

// splitScore is the share of lines that have the most common number of cells,
// times the share of their cells that are not plain text.
func splitScore(lines [][]byte, delim, decimal byte) float64 {
	counts := map[int]int{}
	typed := map[int]float64{}
	var cells [][]byte
	for _, l := range lines {
		cells = splitCells(l, delim, cells)
		n, good, filled := len(cells), 0, 0
		for _, c := range cells {
			switch k := classify(trim(c), decimal); k {
			case cellEmpty:
			case cellText:
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

// cellsOf splits a line with the delimiter found. The result is good until the
// next call.
func (d *detector) cellsOf(line []byte) [][]byte {
	d.cells = splitCells(line, d.delim, d.cells)
	for i, c := range d.cells {
		d.cells[i] = trim(c)
	}
	return d.cells
}

// filled is the number of cells up to the last that is not empty.
func filled(cells [][]byte) int {
	n := len(cells)
	for n > 0 && len(cells[n-1]) == 0 {
		n--
	}
	return n
}

// cleanHeader makes a header cell readable.
func cleanHeader(b []byte) string {
	s := strings.ReplaceAll(decodeText(b), "Â°", "°")
	return strings.TrimSpace(strings.Trim(strings.TrimPrefix(s, "\ufeff"), "\"'#"))
}
