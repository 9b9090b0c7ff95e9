package recording

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/repair"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// finish turns a table into a recording: times in order, faults out, series
// made.
func finish(t *table.Table, layout Layout) (*Recording, error) {
	if len(t.Time) == 0 {
		return nil, noRows(t)
	}
	if err := repair.Zone(t, layout); err != nil {
		return nil, err
	}
	apart, err := repair.Sequence(t)
	if err != nil {
		return nil, err
	}
	if len(t.Time) == 0 {
		return nil, noRows(t)
	}
	r := finishOne(t)
	for _, p := range apart {
		s := finishOne(p)
		if len(s.Parts) == 0 { // all of its rows were rejected
			continue
		}
		s.File = t.File
		why := p.Parts[0].Reason
		if why == "" {
			why = "on another clock than the rest"
		}
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("lines %d to %d (%d rows) are kept apart as separate recording %d: %s",
			s.Parts[0].FirstLine, s.Parts[len(s.Parts)-1].LastLine, s.Rows(), len(r.Separate)+1, why))
		r.Separate = append(r.Separate, s)
	}
	for _, p := range append([]*table.Table{t}, apart...) {
		for _, c := range p.Columns {
			addMissing(r.Account, c)
		}
	}
	table.SortRejects(r.Account.Rejects)
	warnOfLoss(t)
	warnOfLostCells(t, apart)
	err = checkOpenCircuit(t, r)
	r.Warnings = t.Warnings
	return r, err
}

// warnOfLoss says so where more than one row in fifty was not used.
func warnOfLoss(t *table.Table) {
	a := t.Account
	lost := len(a.Rejects)
	if lost == 0 || lost*50 <= a.Read+lost {
		return
	}
	count, most := map[string]int{}, ""
	for _, x := range a.Rejects {
		if count[x.Reason]++; count[x.Reason] > count[most] {
			most = x.Reason
		}
	}
	first := a.Rejects[slices.IndexFunc(a.Rejects, func(x Reject) bool { return x.Reason == most })]
	t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("%d of %d %s with readings could not be used, most of them (%d, the first is line %d) because: %s", lost, a.Read+lost, a.Unit, count[most], first.Line, most))
}

// warnOfLostCells says so where more than one cell in fifty of a column holds
// what could not be read, and was no word for a sensor without a reading.
func warnOfLostCells(t *table.Table, apart []*table.Table) {
	rows := len(t.Time)
	for _, p := range apart {
		rows += len(p.Time)
	}
	for _, c := range t.Columns {
		lost, first, reason := 0, 0, ""
		for _, m := range c.Tallies {
			if m.Reason != table.MissText && m.Reason != table.MissUnit && m.Reason != table.MissGlued {
				continue
			}
			if lost += m.Cells; first == 0 || m.Line < first {
				first, reason = m.Line, m.Describe()
			}
		}
		if lost*50 > rows {
			t.Warnings.Add(estimate.LostReadings, c.Name, fmt.Sprintf("%d of %d cells could not be read, the first in line %d: %s", lost, rows, first, reason))
		}
	}
}

// noRows explains that no line could be used.
func noRows(t *table.Table) error {
	why := ""
	if len(t.Account.Rejects) > 0 {
		first := t.Account.Rejects[0]
		why = fmt.Sprintf("; the first of %d rejected, line %d: %s: %q", len(t.Account.Rejects), first.Line, first.Reason, first.Text)
	}
	return &FileError{File: t.File, Found: fmt.Sprintf("has no usable row among its %d %s%s", t.Account.Lines, t.Account.Unit, why),
		Do: "check that the logger recorded anything, or set the layout by hand", Err: ErrNoData}
}

// addMissing lists the cells of one column that hold no usable value.
func addMissing(a *Account, c table.Column) {
	for _, m := range c.Tallies {
		reason := m.Describe()
		i := slices.IndexFunc(a.Missing, func(x Missing) bool { return x.Column == c.Name && x.Reason == reason })
		if i < 0 {
			a.Missing = append(a.Missing, Missing{Column: c.Name, Reason: reason, FirstLine: m.Line})
			i = len(a.Missing) - 1
		}
		a.Missing[i].Cells += m.Cells
	}
}

// checkOpenCircuit refuses a file in which no channel ever read anything, and
// warns of channels that did not.
func checkOpenCircuit(t *table.Table, r *Recording) error {
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
		t.Warnings.Add(account.DeadChannel, c.Name, fmt.Sprintf("has no value in any row (%s): check that its sensor is connected", why))
	}
	if empty < len(r.Columns) {
		return nil
	}
	why := ""
	if len(r.Account.Missing) > 0 {
		why = ": " + r.Account.Missing[0].Reason
	}
	return &FileError{File: t.File, Found: fmt.Sprintf("has %d rows, but no channel has a value in any of them%s", r.Account.Read, why),
		Do: "check that the probes were plugged in and whole, then record again", Err: ErrOpenCircuit}
}

// finishOne makes a recording of one table whose times ascend.
func finishOne(t *table.Table) *Recording {
	repair.Carried(t)
	repair.Probes(t)
	repair.Faults(t)
	repair.Speed(t)
	nameGaps(t)
	r := &Recording{File: t.File, Format: t.Format, Dated: t.Dated(), ZoneKnown: t.Zone && t.Dated(),
		Account: t.Account, Detection: t.Findings, Layout: t.Layout, Warnings: t.Warnings}
	origin := setStart(t, r)
	if origin != 0 {
		for i := range t.Time {
			t.Time[i] -= origin
		}
	}
	for i := range t.Columns {
		r.Columns = append(r.Columns, column(t, &t.Columns[i], r.Start))
	}
	for i, p := range t.Parts {
		end := len(t.Time)
		if i+1 < len(t.Parts) {
			end = t.Parts[i+1].Row
		}
		if end <= p.Row {
			continue
		}
		r.Parts = append(r.Parts, Part{
			FirstLine: t.Lines.Of(p.Row), LastLine: t.Lines.Of(end - 1), Rows: end - p.Row, Shift: p.Shift, Reason: p.Reason,
			Interval: series.Interval{From: t.Time[p.Row], To: math.Nextafter(t.Time[end-1], math.Inf(1))},
		})
	}
	for i := range r.Parts {
		r.Parts[i].Name = fmt.Sprintf("part %d of %s", i+1, filepath.Base(t.File))
	}
	return r
}

// setStart sets the recording's start and returns what to subtract from the
// table's times.
func setStart(t *table.Table, r *Recording) float64 {
	switch {
	case len(t.Time) == 0:
		return 0
	case t.Dated():
	case t.Times == TimeOfDay:
		day := time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC)
		r.Start = day.Add(time.Duration(math.Round(t.Time[0] * 1e9)))
		return t.Time[0]
	default:
		return 0 // elapsed times count from the start that the file means
	}
	first := t.Time[0]
	whole := math.Floor(first)
	r.Start = time.Unix(t.Base+int64(whole), int64(math.Round((first-whole)*1e9))).UTC()
	return first
}

// column makes the series of one column. Columns share the time axis where
// they have a value or a gap in every row.
func column(t *table.Table, c *table.Column, start time.Time) *Column {
	times, values := t.Time, c.Values
	if c.Own != nil {
		times = make([]float64, len(c.Own))
		own := make([]float64, len(c.Own))
		for i, row := range c.Own {
			times[i], own[i] = t.Time[row], values[row]
		}
		values = own
	}
	dim := c.Content.Kind()
	out := &Column{Name: c.Name, Number: c.Number, Dimension: dim, UnitFound: c.Found, UnitReason: c.Reason, Derived: c.Derived,
		Series: &series.Series{Name: c.Name, Dimension: dim, Start: start, Time: times, Value: values}}
	if c.Unit != nil {
		out.Unit = c.Unit.Name
	}
	if out.Unit == "" {
		out.Unit = c.Found
	}
	return out
}
