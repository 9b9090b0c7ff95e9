package recording

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// finish turns a table into a recording: times in order, faults out, series
// made.
func finish(t *table, layout Layout) (*Recording, error) {
	if len(t.time) == 0 {
		return nil, t.noRows()
	}
	if err := t.applyZone(layout); err != nil {
		return nil, err
	}
	apart, err := sequence(t)
	if err != nil {
		return nil, err
	}
	if len(t.time) == 0 {
		return nil, t.noRows()
	}
	r := t.finishOne()
	for i, p := range apart {
		s := p.finishOne()
		s.File = t.file
		why := p.parts[0].reason
		if why == "" {
			why = "on another clock than the rest"
		}
		t.warnings.add(lostReadings, t.file, fmt.Sprintf("lines %d to %d (%d rows) are kept apart as separate recording %d: %s",
			s.Parts[0].FirstLine, s.Parts[len(s.Parts)-1].LastLine, s.Rows(), i+1, why))
		r.Separate = append(r.Separate, s)
	}
	for _, p := range append([]*table{t}, apart...) {
		for _, c := range p.columns {
			r.Account.addMissing(c)
		}
	}
	sortRejects(r.Account.Rejects)
	err = t.checkOpenCircuit(r)
	r.Warnings = t.warnings.texts()
	return r, err
}

// noRows explains that no line could be used.
func (t *table) noRows() error {
	why := ""
	if len(t.account.Rejects) > 0 {
		first := t.account.Rejects[0]
		why = fmt.Sprintf("; the first of %d rejected, line %d: %s: %q", len(t.account.Rejects), first.Line, first.Reason, first.Text)
	}
	return &FileError{File: t.file, Found: fmt.Sprintf("has no usable row among its %d %s%s", t.account.Lines, t.account.Unit, why),
		Do: "check that the logger recorded anything, or set the layout by hand", Err: ErrNoData}
}

// addMissing lists the cells of one column that hold no usable value.
func (a *Account) addMissing(c tableColumn) {
	for _, m := range c.tallies {
		reason := m.describe()
		i := slices.IndexFunc(a.Missing, func(x Missing) bool { return x.Column == c.name && x.Reason == reason })
		if i < 0 {
			a.Missing = append(a.Missing, Missing{Column: c.name, Reason: reason, FirstLine: m.line})
			i = len(a.Missing) - 1
		}
		a.Missing[i].Cells += m.cells
	}
}

// checkOpenCircuit refuses a file in which no channel ever read anything, and
// warns of channels that did not.
func (t *table) checkOpenCircuit(r *Recording) error {
	empty := 0
	for _, c := range r.Columns {
		n := c.Series.Present()
		for _, s := range r.Separate {
			if k, err := s.Column(c.Name); err == nil {
				n += k.Series.Present()
			}
		}
		if n > 0 {
			continue
		}
		empty++
		why := "empty"
		for _, m := range r.Account.Missing {
			if m.Column == c.Name {
				why = m.Reason
				break
			}
		}
		t.warnings.add(deadChannel, c.Name, fmt.Sprintf("%s has no value in any row (%s): check that its sensor is connected", c.Name, why))
	}
	if empty < len(r.Columns) {
		return nil
	}
	why := ""
	if len(r.Account.Missing) > 0 {
		why = ": " + r.Account.Missing[0].Reason
	}
	return &FileError{File: t.file, Found: fmt.Sprintf("has %d rows, but no channel has a value in any of them%s", r.Account.Read, why),
		Do: "check that the probes were plugged in and whole, then record again", Err: ErrOpenCircuit}
}

// finishOne makes a recording of one table whose times ascend.
func (t *table) finishOne() *Recording {
	findCarried(t)
	findFaults(t)
	addSpeed(t)
	t.nameGaps()
	r := &Recording{File: t.file, Format: t.format, Dated: t.dated(), ZoneKnown: t.zone && t.dated(),
		Account: t.account, Detection: t.found, Layout: t.layout, Warnings: t.warnings.texts()}
	origin := t.setStart(r)
	if origin != 0 {
		for i := range t.time {
			t.time[i] -= origin
		}
	}
	for i := range t.columns {
		r.Columns = append(r.Columns, t.column(&t.columns[i], r.Start))
	}
	for i, p := range t.parts {
		end := len(t.time)
		if i+1 < len(t.parts) {
			end = t.parts[i+1].row
		}
		if end <= p.row {
			continue
		}
		r.Parts = append(r.Parts, Part{
			FirstLine: t.lines.of(p.row), LastLine: t.lines.of(end - 1), Rows: end - p.row, Shift: p.shift, Reason: p.reason,
			Interval: series.Interval{From: t.time[p.row], To: math.Nextafter(t.time[end-1], math.Inf(1))},
		})
	}
	for i := range r.Parts {
		r.Parts[i].Name = fmt.Sprintf("part %d of %s", i+1, filepath.Base(t.file))
	}
	return r
}

// nameGaps warns of pauses that are long for this file.
func (t *table) nameGaps() {
	limit := math.Max(5, 5*typicalStep(t.time))
	n, longest, at := 0, 0.0, 0
	for i := 1; i < len(t.time); i++ {
		if d := t.time[i] - t.time[i-1]; d > limit {
			n++
			if d > longest {
				longest, at = d, i
			}
		}
	}
	if n > 0 {
		t.warnings.add(gapInTime, t.file, fmt.Sprintf("%s longer than %s; the longest is %s, before line %d", plural(n, "gap"), spell(limit), spell(longest), t.lines.of(at)))
	}
}

// setStart sets the recording's start and returns what to subtract from the
// table's times.
func (t *table) setStart(r *Recording) float64 {
	switch {
	case len(t.time) == 0:
		return 0
	case t.dated():
	case t.times == TimeOfDay:
		day := time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC)
		r.Start = day.Add(time.Duration(math.Round(t.time[0] * 1e9)))
		return t.time[0]
	default:
		return 0 // elapsed times count from the start that the file means
	}
	first := t.time[0]
	whole := math.Floor(first)
	r.Start = time.Unix(t.base+int64(whole), int64(math.Round((first-whole)*1e9))).UTC()
	return first
}

// column makes the series of one column. Columns share the time axis where
// they have a value or a gap in every row.
func (t *table) column(c *tableColumn, start time.Time) *Column {
	times, values := t.time, c.values
	if c.own != nil {
		times = make([]float64, len(c.own))
		own := make([]float64, len(c.own))
		for i, row := range c.own {
			times[i], own[i] = t.time[row], values[row]
		}
		values = own
	}
	dim := dimensions[c.content]
	out := &Column{Name: c.name, Number: c.number, Dimension: dim, UnitFound: c.found, UnitReason: c.reason, Derived: c.derived,
		Series: &series.Series{Name: c.name, Dimension: dim, Start: start, Time: times, Value: values}}
	if c.unit != nil {
		out.Unit = c.unit.name
	}
	if out.Unit == "" {
		out.Unit = c.found
	}
	return out
}

// fillTexts fetches the text of rejected lines that were only found out later.
func fillTexts(src *source, a *Account) error {
	want := map[int]int{}
	for i, r := range a.Rejects {
		if r.Text == "" && len(want) < 10000 {
			want[r.Line] = i
		}
	}
	if len(want) == 0 {
		return nil
	}
	chunks := newChunker(src.reader(0), src.cr, 1)
	for line := 1; ; {
		ch, err := chunks.next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if ch.long {
			line++
			chunks.free <- ch.data
			continue
		}
		for rest := ch.data; len(rest) > 0; line++ {
			text := rest
			if i := bytes.IndexByte(rest, '\n'); i >= 0 {
				text, rest = rest[:i], rest[i+1:]
			} else {
				rest = nil
			}
			if i, ok := want[line]; ok {
				a.Rejects[i].Text = excerpt(bytes.TrimRight(text, "\r"))
			}
		}
		chunks.free <- ch.data
	}
}
