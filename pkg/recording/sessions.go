package recording

import (
	"cmp"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// sessionPause in seconds is how long a device must have been silent for what
// follows to be another session: longer than a stop for fuel or a tunnel,
// shorter than the way back. Common practice, no source.
const sessionPause = 600.0

// Sessions returns what the file holds between one switching on and the next,
// in the order of its lines: stretches of its own clock, and those parts that
// are apart in time by ten minutes or more where a header was repeated, or by
// half an hour where none was. A logger that is never cleared has one for each
// drive; most files have one, which is the recording itself.
//
// Each has its own Start, columns, parts and share of the account: together
// they hold every line, kept row and rejected line once. Missing cells and
// changes are not divided, and the file's warnings stand in the first.
func (r *Recording) Sessions() []*Recording {
	all := r.ofOneClock()
	for _, s := range r.Separate {
		all = append(all, s.ofOneClock()...)
	}
	if len(all) == 1 {
		return []*Recording{r}
	}
	slices.SortStableFunc(all, func(a, b *Recording) int { return cmp.Compare(a.firstLine(), b.firstLine()) })
	shareAccount(all, r.Account)
	for i, s := range all {
		s.Warnings = nil
		if i == 0 {
			s.Warnings = r.Warnings
		}
	}
	return all
}

// ofOneClock cuts the recording at its pauses, without what is separate.
func (r *Recording) ofOneClock() []*Recording {
	var all []*Recording
	from := 0
	for i := 1; i <= len(r.Parts); i++ {
		if i < len(r.Parts) && r.Parts[i].Interval.From-r.Parts[i-1].Interval.To < sessionPause {
			continue
		}
		all = append(all, r.parts(from, i))
		from = i
	}
	return all
}

// parts returns a recording of some parts, with a start of its own.
func (r *Recording) parts(from, to int) *Recording {
	s := *r
	s.Separate, s.Account = nil, &Account{Unit: r.Account.Unit}
	whole := series.Interval{From: r.Parts[from].Interval.From, To: r.Parts[to-1].Interval.To}
	shift := 0.0
	if !r.Start.IsZero() {
		shift = whole.From
	}
	s.Start = r.Start.Add(time.Duration(math.Round(shift * 1e9)))
	s.Parts = slices.Clone(r.Parts[from:to])
	for i := range s.Parts {
		v := &s.Parts[i].Interval
		v.From, v.To = v.From-shift, math.Nextafter(math.Nextafter(v.To, math.Inf(-1))-shift, math.Inf(1))
	}
	s.Columns = make([]*Column, len(r.Columns))
	for i, c := range r.Columns {
		own := *c
		cut := c.Series.Slice(whole)
		t := make([]float64, cut.Len())
		for k, x := range cut.Time {
			t[k] = x - shift
		}
		own.Series = &series.Series{Name: cut.Name, Dimension: cut.Dimension, Start: s.Start, Time: t, Value: cut.Value}
		s.Columns[i] = &own
	}
	if len(s.Columns) > 0 {
		shareTimes(s.Columns)
	}
	return &s
}

// lines returns the first and the last line of the kept rows; a file may have
// its newest row first.
func (r *Recording) lines() (first, last int) {
	first = math.MaxInt
	for _, p := range r.Parts {
		first = min(first, p.FirstLine, p.LastLine)
		last = max(last, p.FirstLine, p.LastLine)
	}
	return first, last
}

func (r *Recording) firstLine() int {
	first, _ := r.lines()
	return first
}

// shareAccount gives each session the lines from behind the one before to its
// own last row, the last one also what follows.
func shareAccount(sessions []*Recording, whole *Account) {
	rows := 0
	for _, s := range sessions {
		rows += s.Rows()
	}
	from, read := 0, 0
	for i, s := range sessions {
		_, to := s.lines()
		if i+1 < len(sessions) { // a row may be of several lines, told by the first
			to = min(to+max(1, whole.Read/max(1, rows))-1, sessions[i+1].firstLine()-1)
		}
		to = min(max(to, from), whole.Lines)
		// A format may take several lines for one row.
		kept := s.Rows()
		if rows != whole.Read && rows > 0 {
			kept = int(math.Round(float64(whole.Read) * float64(kept) / float64(rows)))
		}
		if i == len(sessions)-1 {
			to, kept = whole.Lines, whole.Read-read
		}
		s.Account.Lines, s.Account.Read = to-from, kept
		for _, x := range whole.Rejects {
			if x.Line > from && (x.Line <= to || i == len(sessions)-1) {
				s.Account.Rejects = append(s.Account.Rejects, x)
			}
		}
		from, read = to, read+kept
	}
}
