package plan

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Parser reads rows by a plan. It keeps buffers and a date between calls,
// which only save time.
type Parser struct {
	Plan     *Plan
	Cells    [][]byte
	Values   []float64
	units    map[string]*layout.Unit
	date     []byte // the last date read, and its day
	days     int64
	Sampling bool
}

func NewParser(p *Plan) *Parser {
	return &Parser{Plan: p, Values: make([]float64, len(p.Columns)), units: map[string]*layout.Unit{}}
}

// split cuts a line into trimmed cells.
func (r *Parser) split(line []byte) [][]byte {
	r.Cells = cell.Split(line, r.Plan.Delim, r.Cells)
	for i, c := range r.Cells {
		r.Cells[i] = cell.Trim(c)
	}
	return r.Cells
}

// Read reads one line. The values are in r.values and the time is returned
// where the outcome is RowRead or RowShort; a RowRejected has a reason.
func (r *Parser) Read(line []byte, n int, missing []table.Tallies) (t float64, o outcome, reason string) {
	p := r.Plan
	raw := line
	line = bytes.TrimRight(line, "\r")
	if len(line) > 0 && (line[0] == 0 || line[len(line)-1] == 0 || line[len(line)-1] == 0x1a) {
		line = bytes.Trim(line, "\x00\x1a")
		if len(bytes.TrimSpace(line)) == 0 {
			return 0, RowRejected, "NUL bytes, as a power cut leaves them"
		}
	}
	if len(line) > source.MaxLine {
		return 0, RowRejected, fmt.Sprintf("longer than %d bytes", source.MaxLine)
	}
	cells := r.split(line)
	if len(cells) < p.Fields || len(cells) > p.Fields {
		k := cell.Filled(cells)
		switch {
		case k == 0:
			return 0, RowBlank, ""
		case p.Header[string(bytes.TrimSpace(line))]:
			return 0, RowHeader, ""
		case p.nameLine(cells) != notNames:
			return 0, p.nameLine(cells), "header with other columns"
		case len(cells) < p.Fields:
			t, ok := r.TimeOf(cells)
			if !ok {
				return 0, RowRejected, fmt.Sprintf("%d of %d cells, and no time", len(cells), p.Fields)
			}
			return t, RowShort, fmt.Sprintf("%d of %d cells, so columns are shifted left", len(cells), p.Fields)
		case k > p.Fields:
			return 0, RowRejected, fmt.Sprintf("%d cells where %d are expected", k, p.Fields)
		}
	}
	t, ok := r.TimeOf(cells)
	if !ok {
		switch {
		case cell.Filled(cells) == 0:
			return 0, RowBlank, ""
		case p.Header[string(bytes.TrimSpace(line))]:
			return 0, RowHeader, ""
		case p.nameLine(cells) != notNames:
			return 0, p.nameLine(cells), "header with other columns"
		case bytes.IndexByte(raw, 0) >= 0:
			return 0, RowRejected, "NUL bytes in the line"
		}
		return 0, RowRejected, "no time that can be read"
	}
	for i := range p.Columns {
		r.Values[i] = r.value(&p.Columns[i], cells, &missing[i], n)
	}
	return t, RowRead, ""
}

// LastDecimals is the number of digits behind the decimal mark in the last
// cell of the row just read.
func (r *Parser) LastDecimals() int {
	if len(r.Cells) == 0 {
		return 0
	}
	last := r.Cells[len(r.Cells)-1]
	i := bytes.LastIndexByte(last, r.Plan.Decimal)
	if i < 0 {
		return 0
	}
	return len(last) - i - 1
}
