package recording

import (
	"bytes"
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
