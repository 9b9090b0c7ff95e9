package plan

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// Parser reads rows by a plan. It keeps buffers and a date between calls,
// which only save time.
type Parser struct {
	Plan   *Plan
	Cells  [][]byte  // of the last line
	Values []float64 // of the last row, in SI units; NaN where there is none
	units  map[string]*unit.Unit
	date   []byte // the last date read, and its day
	days   int64
}

// NewParser returns a parser for one goroutine.
func NewParser(p *Plan) *Parser {
	return &Parser{Plan: p, Values: make([]float64, len(p.Columns)), units: map[string]*unit.Unit{}}
}

// split cuts a line into trimmed cells.
func (r *Parser) split(line []byte) [][]byte {
	r.Cells = cell.Split(line, r.Plan.Delim, r.Cells)
	for i, c := range r.Cells {
		r.Cells[i] = cell.Trim(c)
	}
	return r.Cells
}
