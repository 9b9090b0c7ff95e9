// Package repair brings the rows of a table into order of time and takes out
// what sensors did not measure. Whatever it changes or rejects stands in the
// account.
package repair

import (
	"fmt"
	"math"
	"sort"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
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
		markPauses(p)
		separateRepeats(p)
	}
	return apart, nil
}

// splitter walks through the times and cuts them where they can't be joined.
type splitter struct {
	t        *table.Table
	step     float64
	shift    float64 // added to the times since the last cut
	newest   float64 // the latest time of the segment
	segments []segment
	overlap  []int
	asked    bool // halfDays has been asked
}

// split cuts the times into segments. It adds shifts to the times as it goes.
func split(t *table.Table) []segment {
	s := &splitter{t: t, step: table.TypicalStep(t.Time), newest: t.Time[0], segments: []segment{{from: 0}}}
	for i := 1; i < len(t.Time); i++ {
		t.Time[i] += s.shift
		if back := s.newest - t.Time[i]; back <= 0 {
			s.ahead(i, -back)
		} else {
			i = s.back(i, back)
		}
		if i < len(t.Time) {
			s.newest = t.Time[i]
		}
	}
	segments := s.segments
	segments[len(segments)-1].to = len(t.Time)
	if len(s.overlap) > 0 {
		t.Reject(s.overlap, "the clock stepped back: time already covered")
		for i := range segments {
			segments[i].from -= sort.SearchInts(s.overlap, segments[i].from)
			segments[i].to -= sort.SearchInts(s.overlap, segments[i].to)
		}
	}
	return segments
}

// ahead takes row i, which follows the latest time by so many seconds.
func (s *splitter) ahead(i int, by float64) {
	t := s.t
	if by > longestPause {
		s.cut(i, fmt.Sprintf("the clock jumps ahead by %s", words.Duration(by)))
		return
	}
	if math.Abs(by-3600-s.step) <= math.Max(3*s.step, 2) && s.step < 600 && !t.Zone {
		t.Warnings.Add(estimate.ClockDoubtful, t.Name(), fmt.Sprintf("line %d: the clock jumps ahead by one hour; that may be summer time or a pause, and is kept as a gap", t.Lines.Of(i)))
	}
}

// back takes row i, which lies so many seconds before the latest time, and
// returns the row that it came to.
func (s *splitter) back(i int, by float64) int {
	t := s.t
	near := func(span, tolerance float64) bool {
		return math.Abs(by-span+s.step) <= math.Max(3*s.step, tolerance)
	}
	switch {
	case t.Times == layout.TimeOfDay && by > 12*3600:
		return s.add(i, 86400, "midnight: 24 h added")
	case t.Times == layout.TimeOfDay && near(12*3600, 5) && halfDayClock(t):
		return s.add(i, 12*3600, "12-hour clock without AM or PM passes twelve: 12 h added")
	case t.Times == layout.Stamp && near(12*3600, 5) && s.step < 600 && s.halfDays():
		t.Warnings.Add(estimate.ClockDoubtful, t.Name(), fmt.Sprintf("line %d: the clock goes back by twelve hours, and no hour is above 12: taken for a 12-hour clock without AM or PM that passes noon; whether it was noon or midnight the file can't say", t.Lines.Of(i)))
		return s.add(i, 12*3600, "12-hour clock without AM or PM passes twelve: 12 h added")
	case near(3600, 5) && s.step < 600:
		return s.add(i, 3600, "the clock goes back by one hour (summer time, or set by hand): 3600 s added to join it")
	case by <= math.Max(smallStep, 5*s.step) && catchesUp(t, i, s.shift, s.newest) && !s.beginsAnew(i):
		return s.skip(i)
	default:
		s.cut(i, fmt.Sprintf("the clock goes back by %s: restarted or reset", words.Duration(by)))
	}
	return i
}

// add joins what follows to the segment before by seconds that are added. It
// returns the first row that is not before the latest time even so: the clock may
// have gone back by some seconds more than the hour.
func (s *splitter) add(i int, seconds float64, what string) int {
	t := s.t
	t.Time[i] += seconds
	s.shift += seconds
	s.segments[len(s.segments)-1].to = i
	s.segments = append(s.segments, segment{from: i, reason: what, shift: s.shift})
	t.Account.Changes = append(t.Account.Changes, account.Change{Line: t.Lines.Of(i), Rows: len(t.Time) - i, What: what})
	if t.Time[i] < s.newest {
		return s.skip(i)
	}
	return i
}

// cut begins a segment that is not on the clock of the one before.
func (s *splitter) cut(i int, reason string) {
	s.t.Time[i] -= s.shift
	s.shift = 0
	s.segments[len(s.segments)-1].to = i
	s.segments = append(s.segments, segment{from: i, reason: reason})
}

// beginsAnew reports whether an elapsed time is back at its start.
func (s *splitter) beginsAnew(i int) bool {
	first := s.segments[len(s.segments)-1].from
	return !s.t.Dated() && s.t.Time[i] <= s.t.Time[first]+s.step
}

// skip passes over rows whose time is covered already and returns the first
// that is not.
func (s *splitter) skip(i int) int {
	t := s.t
	for ; i < len(t.Time) && t.Time[i] <= s.newest; i++ {
		s.overlap = append(s.overlap, i)
		if i+1 < len(t.Time) {
			t.Time[i+1] += s.shift
		}
	}
	return i
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

// halfDays reports whether no stamp's time of day is beyond what a 12-hour clock
// shows. It looks once: what half a day was added to is beyond.
func (s *splitter) halfDays() bool {
	if s.asked {
		return false
	}
	s.asked = true
	for _, v := range s.t.Time {
		if of := math.Mod(v+float64(s.t.Base), 86400); of < 3600 || of >= 13*3600 {
			return false
		}
	}
	return true
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
