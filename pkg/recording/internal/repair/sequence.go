package repair

import (
	"fmt"
	"math"
	"sort"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Limits of what is joined. A logger that pauses for longer than a week was
// put away; a clock that is put right steps by less than a minute.
const (
	longestPause = 7 * 86400.0
	smallStep    = 60.0
)

// Sequence brings the rows' times into ascending order: it adds what midnight
// and an hour set back took away, rejects rows that repeat time already
// covered, and splits off stretches on another clock. It returns those.
func Sequence(t *table.Table) ([]*table.Table, error) {
	putForward(t)
	dropStrays(t)
	if len(t.Time) == 0 {
		return nil, nil
	}
	segments := split(t)
	if n := len(segments); n > 20 && n > len(t.Time)/50 {
		return nil, &account.FileError{File: t.File, Line: t.Lines.Of(segments[1].from), Err: account.ErrNoTime,
			Found: fmt.Sprintf("has times that jump back or far ahead %d times in %d rows (here: %s)", n-1, len(t.Time), segments[1].reason),
			Do:    "see which column holds the time, and set it and date_order in the layout"}
	}
	main := longestChain(t, segments)
	var apart []*table.Table
	var gone []int
	joined := map[int]bool{}
	for _, i := range main {
		joined[i] = true
	}
	for i, s := range segments {
		if joined[i] {
			t.Parts = append(t.Parts, table.PartMark{Row: s.from, Shift: s.shift, Reason: s.reason})
			continue
		}
		apart = append(apart, extract(t, s))
		for r := s.from; r < s.to; r++ {
			gone = append(gone, r)
		}
	}
	markHeaders(t)
	t.Drop(gone)
	for _, p := range append([]*table.Table{t}, apart...) {
		separateRepeats(p)
	}
	return apart, nil
}

// split walks through the times and cuts them where they can't be joined. It
// adds shifts to the times as it goes.
func split(t *table.Table) []segment {
	step := table.TypicalStep(t.Time)
	segments := []segment{{from: 0}}
	shift := 0.0
	var overlap []int
	change := func(i int, add float64, what string) {
		shift += add
		segments[len(segments)-1].to = i
		segments = append(segments, segment{from: i, reason: what, shift: shift})
		t.Account.Changes = append(t.Account.Changes, account.Change{Line: t.Lines.Of(i), Rows: len(t.Time) - i, What: what})
	}
	newest := t.Time[0] // the latest time of the segment
	for i := 1; i < len(t.Time); i++ {
		t.Time[i] += shift
		back := newest - t.Time[i]
		switch {
		case back <= 0 && -back <= longestPause:
			if math.Abs(-back-3600-step) <= math.Max(3*step, 2) && step < 600 && !t.Zone {
				t.Warnings.Add(account.ClockDoubtful, t.File, fmt.Sprintf("line %d: the clock jumps ahead by one hour; that may be summer time or a pause, and is kept as a gap", t.Lines.Of(i)))
			}
			newest = t.Time[i]
		case back <= 0:
			shift = 0
			t.Time[i] -= segments[len(segments)-1].shift
			cut(t, &segments, i, fmt.Sprintf("the clock jumps ahead by %s", words.Duration(-back)))
			newest = t.Time[i]
		case t.Times == layout.TimeOfDay && back > 12*3600:
			t.Time[i] += 86400
			change(i, 86400, "midnight: 24 h added")
			newest = t.Time[i]
		case t.Times == layout.TimeOfDay && math.Abs(back-12*3600+step) <= math.Max(3*step, 5) && halfDayClock(t):
			t.Time[i] += 12 * 3600
			change(i, 12*3600, "12-hour clock without AM or PM passes twelve: 12 h added")
			newest = t.Time[i]
		case math.Abs(back-3600+step) <= math.Max(3*step, 5) && step < 600:
			t.Time[i] += 3600
			change(i, 3600, "the clock goes back by one hour (summer time, or set by hand): 3600 s added to join it")
			newest = t.Time[i]
		case back <= math.Max(smallStep, 5*step) && catchesUp(t, i, shift, newest) &&
			!(!t.Dated() && t.Time[i] <= t.Time[segments[len(segments)-1].from]+step): // an elapsed time that begins anew
			for ; i < len(t.Time) && t.Time[i] <= newest; i++ {
				overlap = append(overlap, i)
				if i+1 < len(t.Time) {
					t.Time[i+1] += shift
				}
			}
			if i < len(t.Time) {
				newest = t.Time[i]
			}
		default:
			t.Time[i] -= shift
			shift = 0
			cut(t, &segments, i, fmt.Sprintf("the clock goes back by %s: restarted or reset", words.Duration(back)))
			newest = t.Time[i]
		}
	}
	segments[len(segments)-1].to = len(t.Time)
	if len(overlap) > 0 {
		t.Reject(overlap, "the clock stepped back: time already covered")
		for i := range segments {
			segments[i].from -= sort.SearchInts(overlap, segments[i].from)
			segments[i].to -= sort.SearchInts(overlap, segments[i].to)
		}
	}
	return segments
}

// cut begins a segment that is not on the clock of the one before.
func cut(t *table.Table, segments *[]segment, i int, reason string) {
	s := *segments
	s[len(s)-1].to = i
	*segments = append(s, segment{from: i, reason: reason})
}

// catchesUp reports whether the times from row i on pass newest again before
// they step back once more, and within a minute's worth of rows.
func catchesUp(t *table.Table, i int, shift, newest float64) bool {
	for k := i; k < len(t.Time); k++ {
		v := t.Time[k]
		if k > i {
			v += shift
		}
		if v > newest {
			return v-newest < longestPause
		}
		if k > i && v < t.Time[i]-smallStep || k > i+100000 {
			return false
		}
	}
	return len(t.Time)-i <= 5 // a few rows at the end
}

// halfDayClock reports whether all times of day fit a 12-hour clock.
func halfDayClock(t *table.Table) bool {
	for i, v := range t.Time {
		if i > 0 && v >= 13*3600 || v < 3600 {
			return i > 0 && v >= 13*3600 && t.Time[0] < 13*3600 && i > 100
		}
	}
	return true
}
