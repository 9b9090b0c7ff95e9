package recording

import (
	"math"
	"sort"
)

// table is a file's rows in the order of the file, before their times are put
// in order. All readers end in one.
type table struct {
	file     string
	format   Format
	base     int64     // what time counts from, seconds since 1970; 0 undated
	time     []float64 // seconds after base
	columns  []tableColumn
	lines    lineMap
	breaks   []int // rows before which a header was repeated
	parts    []partMark
	times    TimeFormat // how the file gave them
	zone     bool       // stamps are UTC
	account  *Account
	found    Detection
	layout   Layout
	warnings warnings
}

// head is what is known of a column before its first value.
type head struct {
	number  int // from 1; 0 for a derived column
	name    string
	content Content
	unit    *unit
	found   string // unit as the file has it
	reason  string // why unit
}

// tableColumn is one column of values in SI units.
type tableColumn struct {
	head
	values  []float64
	tallies tallies
	// own holds the rows that the column was really read in, where the others
	// only repeat it; nil means all.
	own     []int
	derived bool
}

// note keeps a finding.
func (t *table) note(property, value, reason string) {
	t.found.Findings = append(t.found.Findings, Finding{Property: property, Value: value, Reason: reason})
}

func (t *table) dated() bool { return t.times.Dated() }

// partMark is where a part begins.
type partMark struct {
	row    int
	shift  float64
	reason string
}

// lineMap gives the line number of each row: runs of rows on lines that follow
// one another.
type lineMap struct{ row, line []int }

// add says that the given row stands on the given line. Rows come in order.
func (m *lineMap) add(row, line int) {
	if n := len(m.row); n > 0 && line-m.line[n-1] == row-m.row[n-1] {
		return
	}
	m.row = append(m.row, row)
	m.line = append(m.line, line)
}

// of returns the line number of a row.
func (m *lineMap) of(row int) int {
	i := sort.SearchInts(m.row, row+1) - 1
	if i < 0 {
		return 0
	}
	return m.line[i] + row - m.row[i]
}

// drop removes the rows that are listed in ascending order, keeping the
// others in place.
func (t *table) drop(rows []int) {
	if len(rows) == 0 {
		return
	}
	var lines lineMap
	to, next := rows[0], 0
	for from := range len(t.time) {
		if next < len(rows) && rows[next] == from {
			next++
			continue
		}
		line := t.lines.of(from)
		if from >= rows[0] {
			t.time[to] = t.time[from]
			for i := range t.columns {
				t.columns[i].values[to] = t.columns[i].values[from]
			}
			lines.add(to, line)
			to++
		} else {
			lines.add(from, line)
		}
	}
	for i, b := range t.breaks {
		t.breaks[i] = b - sort.SearchInts(rows, b)
	}
	for i, p := range t.parts {
		t.parts[i].row = p.row - sort.SearchInts(rows, p.row)
	}
	t.time = t.time[:to]
	for i := range t.columns {
		t.columns[i].values = t.columns[i].values[:to]
	}
	t.lines = lines
}

// reject drops rows for a reason and lists their lines.
func (t *table) reject(rows []int, reason string) {
	for _, r := range rows {
		t.account.Rejects = append(t.account.Rejects, Reject{Line: t.lines.of(r), Reason: reason})
	}
	t.account.Read -= len(rows)
	t.drop(rows)
}

// blank makes a cell missing and counts why.
func (t *table) blank(column, row int, reason string) {
	c := &t.columns[column]
	c.values[row] = math.NaN()
	c.tallies.count(reason, nil, t.lines.of(row))
}
