package delimited

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// block is what one chunk of text was read into.
type block struct {
	chunk   source.Chunk
	lines   int
	time    []float64
	values  [][]float64
	rowLine []int32 // line within the block of each row, from 0
	header  int
	blank   int
	rejects []account.Reject // lines count within the block, from 0
	short   []shortRow
	breaks  []int
	foreign []foreignHeader
	missing []table.Tallies
	done    chan struct{}
}

// foreignHeader is a line of other names, before a row of the block.
type foreignHeader struct{ row, line int }

// shortRow is a row with too few cells: which are missing is decided when the
// row before it is known.
type shortRow struct {
	row, line int // before this row of the block; line within the block
	time      float64
	values    []float64
	reason    string
	text      string
}

func (b *block) reset(ch source.Chunk, columns int) {
	b.chunk, b.lines, b.header, b.blank = ch, 0, 0, 0
	b.time, b.rowLine, b.rejects, b.short, b.breaks = b.time[:0], b.rowLine[:0], nil, nil, b.breaks[:0]
	b.foreign = nil
	if len(b.values) != columns {
		b.values = make([][]float64, columns)
	}
	for i := range b.values {
		b.values[i] = b.values[i][:0]
	}
	b.missing = make([]table.Tallies, columns)
	b.done = make(chan struct{})
}

// parse reads all lines of the block.
func (b *block) parse(r *plan.Parser) {
	skip := 0
	if b.header < 0 { // the lines of the header, by number
		b.header, skip = 0, r.Plan.First
	}
	if b.chunk.Long {
		b.lines = 1
		b.rejects = append(b.rejects, account.Reject{Line: 0, Reason: fmt.Sprintf("longer than %d bytes", source.MaxLine), Text: cell.Excerpt(b.chunk.Data[:200])})
		return
	}
	data := b.chunk.Data
	decimals := 0
	for len(data) > 0 {
		line := data
		ended := false
		if i := bytes.IndexByte(data, '\n'); i >= 0 {
			line, data, ended = data[:i], data[i+1:], true
		} else {
			data = nil
		}
		n := b.lines
		b.lines++
		if skip > 0 {
			skip--
			b.headerLine(r, line, n)
			continue
		}
		t, o, reason := r.Read(line, n, b.missing)
		if !ended && (o == plan.RowShort || (o == plan.RowRead && r.LastDecimals() < decimals)) {
			for i := range b.missing {
				b.missing[i].Undo(n)
			}
			o, reason = plan.RowRejected, "half-written last line, without a line end"
		}
		switch o {
		case plan.RowRead:
			b.time = append(b.time, t)
			for i, v := range r.Values {
				b.values[i] = append(b.values[i], v)
			}
			b.rowLine = append(b.rowLine, int32(n))
			if len(data) < 4096 { // only near the end it can matter
				decimals = r.LastDecimals()
			}
		case plan.RowHeader:
			b.header++
			b.breaks = append(b.breaks, len(b.time))
		case plan.RowForeign:
			b.header++
			b.foreign = append(b.foreign, foreignHeader{len(b.time), n})
		case plan.RowBlank:
			b.blank++
		case plan.RowShort:
			b.short = append(b.short, short(r, len(b.time), n, t, reason, line))
		case plan.RowRejected:
			b.rejects = append(b.rejects, account.Reject{Line: n, Reason: reason, Text: cell.Excerpt(line)})
		}
	}
}

// headerLine counts a line of the header.
func (b *block) headerLine(r *plan.Parser, line []byte, n int) {
	switch {
	case slices.Contains(r.Plan.Damaged, n):
		b.rejects = append(b.rejects, account.Reject{Line: n, Reason: "damaged row below the names", Text: cell.Excerpt(line)})
	case len(bytes.TrimSpace(line)) == 0:
		b.blank++
	default:
		b.header++
	}
}

// short keeps what a row with too few cells does hold.
func short(r *plan.Parser, row, line int, t float64, reason string, text []byte) shortRow {
	s := shortRow{row: row, line: line, time: t, reason: reason, text: cell.Excerpt(text)}
	c := &r.Plan.Clock
	for i, b := range r.Cells {
		if n := i + 1; n == c.Stamp || n == c.Date || n == c.Clock || n == c.HalfDay || n == c.Value {
			continue
		}
		v, ok := parse.Number(b, r.Plan.Decimal)
		if !ok {
			v = math.NaN()
			if !cell.IsNoValue(b) && len(b) > 0 && !strings.Contains(string(b), "deg") {
				continue // a unit or text
			}
		}
		s.values = append(s.values, v)
	}
	return s
}
