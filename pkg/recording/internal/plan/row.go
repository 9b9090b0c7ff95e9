package plan

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// Read reads one line. The values are in r.Values and the time is returned
// where the outcome is RowRead or RowShort; a RowRejected has a reason.
func (r *Parser) Read(line []byte, n int, missing []table.Tallies) (t float64, o Outcome, reason string) {
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
	if len(cells) != p.Fields {
		if o, reason := r.notARow(cells, line); o != RowRead {
			return 0, o, reason
		}
		if len(cells) < p.Fields && p.Least > 0 && len(cells) >= p.Least {
			for len(cells) < p.Fields {
				cells = append(cells, nil)
			}
			r.Cells = cells
		}
		if len(cells) < p.Fields {
			return r.short(cells)
		}
		if k := cell.Filled(cells); k > p.Fields {
			return 0, RowRejected, fmt.Sprintf("%d cells where %d are expected", k, p.Fields)
		}
	}
	t, ok := r.TimeOf(cells)
	if !ok {
		if o, reason := r.notARow(cells, line); o != RowRead {
			return 0, o, reason
		}
		if bytes.IndexByte(raw, 0) >= 0 {
			return 0, RowRejected, "NUL bytes in the line"
		}
		return 0, RowRejected, "no time that can be read"
	}
	for i := range p.Columns {
		r.Values[i] = r.value(&p.Columns[i], cells, &missing[i], n)
	}
	return t, RowRead, ""
}

// notARow tells a blank line and a line of names; RowRead where it is neither.
func (r *Parser) notARow(cells [][]byte, line []byte) (Outcome, string) {
	if cell.Filled(cells) == 0 {
		return RowBlank, ""
	}
	if r.Plan.Header[string(bytes.TrimSpace(line))] {
		return RowHeader, ""
	}
	if o := r.Plan.nameLine(cells); o != RowRead {
		return o, "header with other columns"
	}
	return RowRead, ""
}

// short reads the time of a row with too few cells.
func (r *Parser) short(cells [][]byte) (float64, Outcome, string) {
	t, ok := r.TimeOf(cells)
	if !ok {
		return 0, RowRejected, fmt.Sprintf("%d of %d cells, and no time", len(cells), r.Plan.Fields)
	}
	return t, RowShort, fmt.Sprintf("%d of %d cells, so columns are shifted left", len(cells), r.Plan.Fields)
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
