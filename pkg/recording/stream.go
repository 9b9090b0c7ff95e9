package recording

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"sync"
)

// block is what one chunk of text was read into.
type block struct {
	chunk   chunk
	lines   int
	time    []float64
	values  [][]float64
	rowLine []int32 // line within the block of each row, from 0
	header  int
	blank   int
	rejects []Reject // lines count within the block, from 0
	short   []shortRow
	breaks  []int
	foreign []foreignHeader
	missing []tallies
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

var textFormat = format{name: Text, lines: true, recognise: func(*source) bool { return true }, read: readText}

// readText reads all rows of a text file into a table.
func readText(src *source, how request) (*table, error) {
	f, err := detectText(src, how.layout)
	if err != nil {
		return nil, err
	}
	p, t := f.plan, newTable(src, f)
	workers := how.workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	if err := stream(src, p, t, min(workers, 16)); err != nil {
		return nil, err
	}
	return t, nil
}

// newTable makes room for as many rows as the file probably has. Memory that
// is never touched costs nothing, and a slice that need not grow is not copied.
func newTable(src *source, f *found) *table {
	p, rows := f.plan, f.rows+f.rows/100+64
	t := &table{file: src.path, format: Text, base: p.clock.base, times: p.clock.format,
		zone: p.clock.utc, account: &Account{Unit: "lines"}, found: f.detection, layout: f.layout, warnings: f.warnings}
	t.time = make([]float64, 0, rows)
	for _, c := range p.columns {
		t.columns = append(t.columns, tableColumn{head: c.head, values: make([]float64, 0, rows)})
	}
	return t
}

// stream cuts the file into chunks, parses them on several goroutines and puts
// the blocks back in order. Memory is that of a few chunks and of the result.
func stream(src *source, p *plan, t *table, workers int) error {
	chunks := newChunker(src.reader(0), src.cr, workers+2)
	blocks := make(chan *block, workers+2) // in order
	work := make(chan *block, workers+2)
	pool := sync.Pool{New: func() any { return &block{} }}
	var failure error
	go func() {
		defer close(blocks)
		defer close(work)
		for first := true; ; first = false {
			ch, err := chunks.next()
			if err != nil {
				if err != io.EOF {
					failure = err
				}
				return
			}
			b := pool.Get().(*block)
			b.reset(ch, len(p.columns))
			if first {
				b.header = -1 // marks the block that begins the file
			}
			blocks <- b
			work <- b
		}
	}()
	for range workers {
		go func() {
			r := newRowParser(p)
			for b := range work {
				b.parse(r)
				close(b.done)
			}
		}()
	}
	g := gatherer{t: t, p: p}
	for b := range blocks {
		<-b.done
		g.take(b)
		chunks.free <- b.chunk.data[:0]
		pool.Put(b)
	}
	if failure != nil {
		return src.fail("can't be read to its end: "+failure.Error(), "copy it again from the device", failure)
	}
	return nil
}

func (b *block) reset(ch chunk, columns int) {
	b.chunk, b.lines, b.header, b.blank = ch, 0, 0, 0
	b.time, b.rowLine, b.rejects, b.short, b.breaks = b.time[:0], b.rowLine[:0], nil, nil, b.breaks[:0]
	b.foreign = nil
	if len(b.values) != columns {
		b.values = make([][]float64, columns)
	}
	for i := range b.values {
		b.values[i] = b.values[i][:0]
	}
	b.missing = make([]tallies, columns)
	b.done = make(chan struct{})
}

// parse reads all lines of the block.
func (b *block) parse(r *rowParser) {
	skip := 0
	if b.header < 0 { // the lines of the header, by number
		b.header, skip = 0, r.plan.first
	}
	if b.chunk.long {
		b.lines = 1
		b.rejects = append(b.rejects, Reject{0, fmt.Sprintf("longer than %d bytes", maxLine), excerpt(b.chunk.data[:200])})
		return
	}
	data := b.chunk.data
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
			if len(bytes.TrimSpace(line)) == 0 {
				b.blank++
			} else {
				b.header++
			}
			continue
		}
		t, o, reason := r.read(line, n, b.missing)
		if !ended && (o == rowShort || (o == rowRead && r.lastDecimals() < decimals)) {
			for i := range b.missing {
				b.missing[i].undo(n)
			}
			o, reason = rowRejected, "half-written last line, without a line end"
		}
		switch o {
		case rowRead:
			b.time = append(b.time, t)
			for i, v := range r.values {
				b.values[i] = append(b.values[i], v)
			}
			b.rowLine = append(b.rowLine, int32(n))
			if len(data) < 4096 { // only near the end it can matter
				decimals = r.lastDecimals()
			}
		case rowHeader:
			b.header++
			b.breaks = append(b.breaks, len(b.time))
		case rowForeign:
			b.header++
			b.foreign = append(b.foreign, foreignHeader{len(b.time), n})
		case rowBlank:
			b.blank++
		case rowShort:
			b.short = append(b.short, r.short(len(b.time), n, t, reason, line))
		case rowRejected:
			b.rejects = append(b.rejects, Reject{n, reason, excerpt(line)})
		}
	}
}

// lastDecimals is the number of digits behind the decimal mark in the last
// cell of the row just read.
func (r *rowParser) lastDecimals() int {
	if len(r.cells) == 0 {
		return 0
	}
	last := r.cells[len(r.cells)-1]
	i := bytes.LastIndexByte(last, r.plan.decimal)
	if i < 0 {
		return 0
	}
	return len(last) - i - 1
}

// undo takes back what was counted for a line.
func (t *tallies) undo(line int) {
	for i := len(*t) - 1; i >= 0; i-- {
		if (*t)[i].line == line && (*t)[i].cells == 1 {
			*t = append((*t)[:i], (*t)[i+1:]...)
		}
	}
}

// gatherer puts blocks together.
type gatherer struct {
	t     *table
	p     *plan
	lines int // before the current block
	// foreign is the line of the header with other names that the rows stand
	// under, 0 where they stand under the file's own.
	foreign int
}

// take appends a block to the table.
func (g *gatherer) take(b *block) {
	t, a := g.t, g.t.account
	base := g.lines + 1
	offset := len(t.time)
	if b.chunk.nuls > 0 {
		t.warnings.add(lostReadings, t.file, fmt.Sprintf("%d NUL bytes before line %d were skipped", b.chunk.nuls, base))
	}
	if len(b.short) > 0 {
		g.place(b)
	}
	g.padded(b)
	g.dropForeign(b)
	if g.p.clock.format == ByInterval {
		for i := range b.time {
			b.time[i] = float64(offset+i) * g.p.clock.factor
		}
	}
	t.time = append(t.time, b.time...)
	for i := range t.columns {
		t.columns[i].values = append(t.columns[i].values, b.values[i]...)
		for _, m := range b.missing[i] {
			t.columns[i].tallies.merge(m, base)
		}
	}
	for i, l := range b.rowLine {
		t.lines.add(offset+i, base+int(l))
	}
	for _, r := range b.breaks {
		t.breaks = append(t.breaks, offset+r)
	}
	for _, r := range b.rejects {
		r.Line += base
		a.Rejects = append(a.Rejects, r)
	}
	a.Lines += b.lines
	a.Read += len(b.time)
	a.Header += b.header
	a.Blank += b.blank
	g.lines += b.lines
}

func (t *tallies) merge(m tally, base int) {
	for i := range *t {
		if (*t)[i].reason == m.reason && (*t)[i].word == m.word {
			(*t)[i].cells += m.cells
			return
		}
	}
	if len(*t) >= maxReasons && m.word != "" {
		m.word = ""
		t.merge(m, base)
		return
	}
	m.line += base
	*t = append(*t, m)
}

// short keeps what a row with too few cells does hold.
func (r *rowParser) short(row, line int, t float64, reason string, text []byte) shortRow {
	s := shortRow{row: row, line: line, time: t, reason: reason, text: excerpt(text)}
	c := &r.plan.clock
	for i, b := range r.cells {
		if n := i + 1; n == c.stamp || n == c.date || n == c.clock || n == c.halfDay || n == c.value {
			continue
		}
		v, ok := parseNumber(b, r.plan.decimal)
		if !ok {
			v = math.NaN()
			if !isNoValueWord(b) && len(b) > 0 && !strings.Contains(string(b), "deg") {
				continue // a unit or text
			}
		}
		s.values = append(s.values, v)
	}
	return s
}
