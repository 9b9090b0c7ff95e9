package detect

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// isTimeColumn reports whether the column gives the time.
func (d *detector) isTimeColumn(n int) bool {
	c := d.clock
	return n == c.Stamp || n == c.Date || n == c.Clock || n == c.HalfDay || n == c.Value || n == c.Millis || n == c.ZoneAt || slices.Contains(c.Parts[:], n)
}

// named reports whether the file names its columns.
func (d *detector) named() bool {
	return slices.ContainsFunc(d.header, func(h string) bool { return h != "" })
}

// detector finds out how a text file is laid out, step by step. Each step
// leaves what it found and says why.
type detector struct {
	src      *source.Source
	sample   *sample
	layout   layout.Layout
	findings account.Detection
	warnings account.Warnings

	delimiter layout.Delimiter
	delim     byte
	decimal   byte
	fields    int      // cells in a full row
	first     int      // index in sample.lines of the first row of values
	header    []string // names, one for each field; empty where none
	units     []string // from a line of units, or nil
	evidence  []evidence
	columns   []plan.Column
	clock     plan.Clock
	dates     []seenDate // of the sample
	cells     [][]byte   // buffer of cellsOf
}

// note keeps a finding.
func (d *detector) note(property, value, reason string) {
	d.findings.Findings = append(d.findings.Findings, account.Finding{Property: property, Value: value, Reason: reason})
}

func GivenOr(given bool, reason string) string {
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
	d.cells = cell.Split(line, d.delim, d.cells)
	for i, c := range d.cells {
		d.cells[i] = cell.Trim(c)
	}
	return d.cells
}

// headerText is the name of a column for a person.
func (d *detector) headerText(number int) string {
	if s := d.header[number-1]; s != "" {
		return fmt.Sprintf("column %d, %q", number, s)
	}
	return fmt.Sprintf("column %d", number)
}

// layoutFor returns what the layout says about a column.
func (d *detector) layoutFor(number int) (layout.ColumnLayout, bool) {
	name, _, _ := heading.CutUnit(d.header[number-1])
	for _, c := range d.layout.Columns {
		if c.Number == number || (c.Number == 0 && c.Name != "" && (equalFold(c.Name, name) || equalFold(c.Name, d.header[number-1]))) {
			return c, true
		}
	}
	return layout.ColumnLayout{}, false
}

func names(columns []*plan.Column) string {
	s := ""
	for i, c := range columns {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%q", c.Name)
	}
	return s
}

// hasEngineParameters reports whether the columns are those of an engine
// control unit's diagnosis.
func (d *detector) hasEngineParameters() bool {
	var rotation, coolant, more bool
	for _, h := range d.header {
		for _, w := range heading.Words(h) {
			switch w {
			case "rpm":
				rotation = true
			case "coolant":
				coolant = true
			case "throttle", "load", "manifold", "timing":
				more = true
			}
		}
	}
	return rotation && coolant && more
}

func equalFold(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}
