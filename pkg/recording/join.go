package recording

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Join puts recordings of one device that continue one another (a logger that
// starts a new file every so many rows) on one clock, in order of time. They
// must have the same columns and must not overlap; all must carry dates, or
// none, and then each must begin where the one before ended. It fails, and says
// which two do not fit and why, where that is not so.
func Join(recordings ...*Recording) (*Recording, error) {
	if len(recordings) == 0 {
		return nil, errors.New("recording.Join: no recordings given")
	}
	rs := slices.Clone(recordings)
	for _, r := range rs[1:] {
		if err := sameColumns(rs[0], r); err != nil {
			return nil, err
		}
	}
	// Elapsed times and times of day without a date are kept in the given
	// order.
	if rs[0].Dated {
		slices.SortStableFunc(rs, func(a, b *Recording) int {
			return a.Start.Compare(b.Start)
		})
	}
	out := &Recording{Format: rs[0].Format, Start: rs[0].Start, Dated: rs[0].Dated, ZoneKnown: rs[0].ZoneKnown,
		Layout: rs[0].Layout, Detection: rs[0].Detection, Account: &Account{Unit: rs[0].Account.Unit}}
	var files []string
	offsets := make([]float64, len(rs))
	end := math.Inf(-1)
	for i, r := range rs {
		files = append(files, r.File)
		offsets[i] = r.Start.Sub(out.Start).Seconds()
		from := offsets[i] + r.Interval().From
		if !r.Dated && r.Layout.TimeFormat == TimeOfDay && from < end-12*3600 {
			offsets[i] += 86400
			from += 86400
		}
		if from <= math.Nextafter(end, math.Inf(-1)) {
			return nil, fmt.Errorf("%s begins %.3g s before %s ends, so that they can't be joined; if they are two devices, keep them apart and align their clocks", r.File, end-from, rs[i-1].File)
		}
		end = offsets[i] + r.Interval().To
		out.addParts(r, offsets[i], i)
		merge(out.Account, r, i)
		out.Separate = append(out.Separate, r.Separate...)
		for _, w := range r.Warnings {
			if name := filepath.Base(r.File); w.Subject != name {
				w.Subject += " of " + name
			}
			out.Warnings = append(out.Warnings, w)
		}
	}
	out.File = strings.Join(files, " + ")
	for i := range rs[0].Columns {
		out.Columns = append(out.Columns, joinColumn(rs, i, offsets))
	}
	shareTimes(out.Columns)
	return out, nil
}

// sameColumns reports in what two recordings differ.
func sameColumns(a, b *Recording) error {
	if a.Dated != b.Dated || a.ZoneKnown != b.ZoneKnown {
		return fmt.Errorf("%s and %s can't be joined: only one of them has dates, or a known time zone; give the other's in a layout", a.File, b.File)
	}
	if len(a.Columns) != len(b.Columns) {
		return fmt.Errorf("%s and %s can't be joined: one has columns %s, the other %s", a.File, b.File, quotedNames(a.Columns), quotedNames(b.Columns))
	}
	for i, c := range a.Columns {
		if d := b.Columns[i]; c.Name != d.Name || c.Dimension != d.Dimension {
			return fmt.Errorf("%s and %s can't be joined: column %d is %q (%s) in one and %q (%s) in the other", a.File, b.File, i+1, c.Name, c.Dimension, d.Name, d.Dimension)
		}
	}
	return nil
}

func (r *Recording) addParts(p *Recording, offset float64, file int) {
	for k, q := range p.Parts {
		q.Interval.From += offset
		q.Interval.To = math.Nextafter(math.Nextafter(q.Interval.To, math.Inf(-1))+offset, math.Inf(1))
		if file > 0 && k == 0 {
			gap := q.Interval.From - r.Parts[len(r.Parts)-1].Interval.To
			q.Reason = fmt.Sprintf("next file, %.3g s after the last row of the one before", gap)
		}
		r.Parts = append(r.Parts, q)
	}
}

// merge adds the account of another file. Line numbers stay those of their
// files, which the texts of reasons name from the second file on.
func merge(a *Account, r *Recording, file int) {
	b := r.Account
	a.Lines += b.Lines
	a.Read += b.Read
	a.Header += b.Header
	a.Blank += b.Blank
	a.Other += b.Other
	in := " (in " + filepath.Base(r.File) + ")"
	for _, x := range b.Rejects {
		x.Reason += in
		a.Rejects = append(a.Rejects, x)
	}
	for _, x := range b.Missing {
		x.Reason += in
		a.Missing = append(a.Missing, x)
	}
	for _, x := range b.Changes {
		x.What += in
		a.Changes = append(a.Changes, x)
	}
}

func joinColumn(rs []*Recording, i int, offsets []float64) *Column {
	n := 0
	for _, r := range rs {
		n += r.Columns[i].Series.Len()
	}
	t, v := make([]float64, 0, n), make([]float64, 0, n)
	for k, r := range rs {
		s := r.Columns[i].Series
		shift := s.Start.Sub(r.Start).Seconds() + offsets[k]
		for j, x := range s.Time {
			t = append(t, x+shift)
			v = append(v, s.Value[j])
		}
	}
	c := *rs[0].Columns[i]
	c.Series = &series.Series{Name: c.Name, Dimension: c.Dimension, Start: rs[0].Start, Time: t, Value: v}
	return &c
}

// shareTimes lets columns with equal times share one slice.
func shareTimes(columns []*Column) {
	for _, c := range columns[1:] {
		if slices.Equal(c.Series.Time, columns[0].Series.Time) {
			c.Series.Time = columns[0].Series.Time
		}
	}
}
