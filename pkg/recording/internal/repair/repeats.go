package repair

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
)

// separateRepeats makes times strictly ascending where rows share a stamp.
//
// Stamps coarser than the rows (whole seconds, rows twice a second) are spread
// evenly to the next stamp. A row that repeats a fine stamp, or repeats a row
// in all values, is rejected. A stamp that stands still for much longer than
// usual is a clock that has not started: only its last rows can be placed.
func separateRepeats(t *table.Table) {
	runs, repeated, whole := runs(t)
	if repeated == 0 {
		return
	}
	lengths := make([]int, len(runs))
	for i, r := range runs {
		lengths[i] = r[1] - r[0]
	}
	slices.Sort(lengths)
	s := separator{t: t, repeated: repeated, usual: lengths[len(lengths)/2], step: distinctStep(t, runs)}
	coarse := whole || repeated*5 > len(t.Time)
	if s.doubled(runs) {
		coarse = false
	}
	for i, r := range runs {
		from, to := r[0], r[1]
		switch {
		case to-from == 1:
		case s.usual == 1 && to-from == 2 && hollowRow(t, from, to) >= 0:
			s.hollow = append(s.hollow, hollowRow(t, from, to)) // an event written beside the values
		case !coarse:
			s.fine(from, to)
		default:
			next := math.NaN()
			if i+1 < len(runs) {
				next = t.Time[runs[i+1][0]]
			}
			before := math.NaN()
			if i > 0 {
				before = t.Time[runs[i-1][0]]
			}
			s.coarse(from, to, before, next)
		}
	}
	if s.spread > 0 && s.step >= 30 {
		t.Warnings.Add(estimate.ClockDoubtful, t.Name(), fmt.Sprintf("the stamps are whole %s, with up to %s in each: rows are spread evenly, and are certain to about %s",
			words.Duration(s.step), words.Plural(s.usual, "row"), words.Duration(s.step/float64(max(1, s.usual)))))
	}
	if s.spread > 0 {
		t.Account.Changes = append(t.Account.Changes, account.Change{Line: s.first, Rows: s.spread,
			What: "rows share a stamp: spread evenly up to the next stamp"})
	}
	rejectAll(t, []rejection{
		{s.standing, "the clock stands still: the row can't be placed in time"},
		{s.hollow, "no value in the row, and its stamp is that of another"},
		{s.twins, "the row is written twice"},
		{s.same, "same stamp as the row before, with other values"},
	})
}

// separator takes runs of rows that share a stamp.
type separator struct {
	t        *table.Table
	repeated int     // rows that repeat a stamp
	usual    int     // length of a run
	step     float64 // between stamps
	// rows to reject
	standing, twins, same, hollow []int
	spread                        int // rows that were given a time of their own
	first                         int // line of the first of them
}

// doubled reports whether the whole file is written twice, row by row: all rows
// of each stamp are equal, and those of the next stamp are others.
func (s *separator) doubled(runs [][2]int) bool {
	if s.usual < 2 || len(runs) < 10 {
		return false
	}
	others := 0
	for i, r := range runs {
		for k := r[0] + 1; k < r[1]; k++ {
			if !equalRows(s.t, k-1, k) {
				return false
			}
		}
		if i > 0 && !equalRows(s.t, r[0]-1, r[0]) {
			others++
		}
	}
	return others*2 > len(runs)
}

// fine takes a run where stamps are finer than the rows.
func (s *separator) fine(from, to int) {
	for k := from + 1; k < to; k++ {
		if equalRows(s.t, k-1, k) {
			s.twins = append(s.twins, k)
		} else {
			s.same = append(s.same, k)
		}
	}
}

// coarse takes a run where stamps are coarser than the rows; before and next
// are the stamps around it, NaN at the beginning and at the end.
func (s *separator) coarse(from, to int, before, next float64) {
	t := s.t
	begins := math.IsNaN(before) || t.Time[from]-before > 1.5*s.step
	if keep := max(1, s.usual); to-from > 3*s.usual+2 {
		for k := from; k < to-keep; k++ {
			s.standing = append(s.standing, k)
		}
		from = to - keep
	} else if s.usual == 1 && equalRows(t, from, to-1) && s.repeated*20 < len(t.Time) {
		for k := from + 1; k < to; k++ {
			s.twins = append(s.twins, k)
		}
		return
	}
	if math.IsNaN(next) {
		next = t.Time[from] + s.step
	}
	if n := to - from; begins && n < s.usual && next-t.Time[from] <= 1.5*s.step {
		// Recording began within the stamp: its rows are the last ones of it.
		t.Time[from] = next - float64(n)*s.step/float64(s.usual)
	}
	gap := min((next-t.Time[from])/float64(to-from), s.step/float64(max(1, s.usual)))
	for k := from + 1; k < to; k++ {
		t.Time[k] = t.Time[from] + float64(k-from)*gap
		s.spread++
	}
	if s.first == 0 {
		s.first = t.Lines.Of(from)
	}
}

// hollowRow returns the first row without any value, or −1.
func hollowRow(t *table.Table, from, to int) int {
	for r := from; r < to; r++ {
		empty := true
		for _, c := range t.Columns {
			empty = empty && math.IsNaN(c.Values[r])
		}
		if empty {
			return r
		}
	}
	return -1
}

// rejection is a list of rows and why they go.
type rejection struct {
	rows   []int
	reason string
}

// rejectAll rejects rows of several lists at once.
func rejectAll(t *table.Table, lists []rejection) {
	var all []int
	for _, l := range lists {
		for _, r := range l.rows {
			t.Account.Rejects = append(t.Account.Rejects, account.Reject{Line: t.Lines.Of(r), Reason: l.reason})
		}
		all = append(all, l.rows...)
	}
	slices.Sort(all)
	t.Account.Read -= len(all)
	t.Drop(all)
}

// runs returns the half-open runs of rows with one stamp, the number of rows
// beyond the first of their run, and whether all stamps are whole seconds. To
// save memory it returns no runs where every stamp differs.
func runs(t *table.Table) (runs [][2]int, repeated int, whole bool) {
	whole = true
	for i := 1; i < len(t.Time); i++ {
		if t.Time[i] == t.Time[i-1] {
			repeated++
		}
	}
	if repeated == 0 {
		return nil, 0, false
	}
	from := 0
	for i := 1; i <= len(t.Time); i++ {
		if i < len(t.Time) && t.Time[i] == t.Time[from] {
			continue
		}
		whole = whole && t.Time[from] == math.Trunc(t.Time[from])
		runs = append(runs, [2]int{from, i})
		from = i
	}
	return runs, repeated, whole
}

// distinctStep is the median step between stamps that differ.
func distinctStep(t *table.Table, runs [][2]int) float64 {
	var steps []float64
	for i := 1; i < len(runs); i++ {
		steps = append(steps, t.Time[runs[i][0]]-t.Time[runs[i-1][0]])
	}
	if len(steps) == 0 {
		return 1
	}
	return table.Median(steps)
}

// equalRows reports whether two rows have the same values.
func equalRows(t *table.Table, i, k int) bool {
	for _, c := range t.Columns {
		if a, b := c.Values[i], c.Values[k]; a != b && !(math.IsNaN(a) && math.IsNaN(b)) {
			return false
		}
	}
	return true
}
