package recording

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Limits of what is joined. A logger that pauses for longer than a week was
// put away; a clock that is put right steps by less than a minute.
const (
	longestPause = 7 * 86400.0
	smallStep    = 60.0
)

// segment is a stretch of rows whose times ascend, half-open.
type segment struct {
	from, to int
	reason   string // what separates it from the one before
	shift    float64
}

// sequence brings the rows' times into ascending order: it adds what midnight
// and an hour set back took away, rejects rows that repeat time already
// covered, and splits off stretches on another clock. It returns those.
func sequence(t *table) ([]*table, error) {
	t.putForward()
	dropStrays(t)
	if len(t.time) == 0 {
		return nil, nil
	}
	segments := t.split()
	if n := len(segments); n > 20 && n > len(t.time)/50 {
		return nil, &FileError{File: t.file, Line: t.lines.of(segments[1].from), Err: ErrNoTime,
			Found: fmt.Sprintf("has times that jump back or far ahead %d times in %d rows (here: %s)", n-1, len(t.time), segments[1].reason),
			Do:    "see which column holds the time, and set it and date_order in the layout"}
	}
	main := longestChain(t, segments)
	var apart []*table
	var gone []int
	joined := map[int]bool{}
	for _, i := range main {
		joined[i] = true
	}
	for i, s := range segments {
		if joined[i] {
			t.parts = append(t.parts, partMark{s.from, s.shift, s.reason})
			continue
		}
		apart = append(apart, t.extract(s))
		for r := s.from; r < s.to; r++ {
			gone = append(gone, r)
		}
	}
	t.markHeaders()
	t.drop(gone)
	for _, p := range append([]*table{t}, apart...) {
		p.separateRepeats()
	}
	return apart, nil
}

// putForward turns a file round that has its newest row first.
func (t *table) putForward() {
	down, up := 0, 0
	for i := 1; i < len(t.time); i++ {
		if t.time[i] < t.time[i-1] {
			down++
		} else if t.time[i] > t.time[i-1] {
			up++
		}
	}
	if down < 10 || down < 20*up || t.times == ByInterval {
		return
	}
	n := len(t.time)
	var lines lineMap
	for r := range n {
		lines.add(r, t.lines.of(n-1-r))
	}
	t.lines = lines
	slices.Reverse(t.time)
	for _, c := range t.columns {
		slices.Reverse(c.values)
	}
	for i, b := range t.breaks {
		t.breaks[i] = n - b
	}
	slices.Sort(t.breaks)
	t.account.Changes = append(t.account.Changes, Change{Line: t.lines.of(0), Rows: n, What: "the newest row comes first: rows turned round"})
}

// dropStrays rejects single rows whose stamp lies far from both neighbours,
// which follow one another.
func dropStrays(t *table) {
	step := typicalStep(t.time)
	far := math.Max(3600, 1000*step)
	var stray []int
	for i := 1; i+1 < len(t.time); i++ {
		around := t.time[i+1] - t.time[i-1]
		if math.Abs(t.time[i]-t.time[i-1]) > far && around >= 0 && around < 10*step+1 {
			stray = append(stray, i)
			i++
		}
	}
	t.reject(stray, "stamp far from those of the rows around it")
}

// typicalStep is the median of the steps forward, from the first rows.
func typicalStep(time []float64) float64 {
	var steps []float64
	for i := 1; i < len(time) && len(steps) < 2000; i++ {
		if s := time[i] - time[i-1]; s > 0 {
			steps = append(steps, s)
		}
	}
	if len(steps) == 0 {
		return 1
	}
	sort.Float64s(steps)
	return steps[len(steps)/2]
}

// split walks through the times and cuts them where they can't be joined. It
// adds shifts to the times as it goes.
func (t *table) split() []segment {
	step := typicalStep(t.time)
	segments := []segment{{from: 0}}
	shift := 0.0
	var overlap []int
	change := func(i int, add float64, what string) {
		shift += add
		segments[len(segments)-1].to = i
		segments = append(segments, segment{from: i, reason: what, shift: shift})
		t.account.Changes = append(t.account.Changes, Change{Line: t.lines.of(i), Rows: len(t.time) - i, What: what})
	}
	newest := t.time[0] // the latest time of the segment
	for i := 1; i < len(t.time); i++ {
		t.time[i] += shift
		back := newest - t.time[i]
		switch {
		case back <= 0 && -back <= longestPause:
			if math.Abs(-back-3600-step) <= math.Max(3*step, 2) && step < 600 && !t.zone {
				t.warnings.add(clockDoubtful, t.file, fmt.Sprintf("line %d: the clock jumps ahead by one hour; that may be summer time or a pause, and is kept as a gap", t.lines.of(i)))
			}
			newest = t.time[i]
		case back <= 0:
			shift = 0
			t.time[i] -= segments[len(segments)-1].shift
			t.cut(&segments, i, fmt.Sprintf("the clock jumps ahead by %s", spell(-back)))
			newest = t.time[i]
		case t.times == TimeOfDay && back > 12*3600:
			t.time[i] += 86400
			change(i, 86400, "midnight: 24 h added")
			newest = t.time[i]
		case t.times == TimeOfDay && math.Abs(back-12*3600+step) <= math.Max(3*step, 5) && t.halfDayClock():
			t.time[i] += 12 * 3600
			change(i, 12*3600, "12-hour clock without AM or PM passes twelve: 12 h added")
			newest = t.time[i]
		case math.Abs(back-3600+step) <= math.Max(3*step, 5) && step < 600:
			t.time[i] += 3600
			change(i, 3600, "the clock goes back by one hour (summer time, or set by hand): 3600 s added to join it")
			newest = t.time[i]
		case back <= math.Max(smallStep, 5*step) && t.catchesUp(i, shift, newest) &&
			!(!t.dated() && t.time[i] <= t.time[segments[len(segments)-1].from]+step): // an elapsed time that begins anew
			for ; i < len(t.time) && t.time[i] <= newest; i++ {
				overlap = append(overlap, i)
				if i+1 < len(t.time) {
					t.time[i+1] += shift
				}
			}
			if i < len(t.time) {
				newest = t.time[i]
			}
		default:
			t.time[i] -= shift
			shift = 0
			t.cut(&segments, i, fmt.Sprintf("the clock goes back by %s: restarted or reset", spell(back)))
			newest = t.time[i]
		}
	}
	segments[len(segments)-1].to = len(t.time)
	if len(overlap) > 0 {
		t.reject(overlap, "the clock stepped back: time already covered")
		for i := range segments {
			segments[i].from -= sort.SearchInts(overlap, segments[i].from)
			segments[i].to -= sort.SearchInts(overlap, segments[i].to)
		}
	}
	return segments
}

// cut begins a segment that is not on the clock of the one before.
func (t *table) cut(segments *[]segment, i int, reason string) {
	s := *segments
	s[len(s)-1].to = i
	*segments = append(s, segment{from: i, reason: reason})
}

// catchesUp reports whether the times from row i on pass newest again before
// they step back once more, and within a minute's worth of rows.
func (t *table) catchesUp(i int, shift, newest float64) bool {
	for k := i; k < len(t.time); k++ {
		v := t.time[k]
		if k > i {
			v += shift
		}
		if v > newest {
			return v-newest < longestPause
		}
		if k > i && v < t.time[i]-smallStep || k > i+100000 {
			return false
		}
	}
	return len(t.time)-i <= 5 // a few rows at the end
}

// halfDayClock reports whether all times of day fit a 12-hour clock.
func (t *table) halfDayClock() bool {
	for i, v := range t.time {
		if i > 0 && v >= 13*3600 || v < 3600 {
			return i > 0 && v >= 13*3600 && t.time[0] < 13*3600 && i > 100
		}
	}
	return true
}

// plural counts things for a person.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// spell writes a duration for a person.
func spell(s float64) string {
	switch {
	case s < 120:
		return fmt.Sprintf("%.3g s", s)
	case s < 2*3600:
		return fmt.Sprintf("%.1f min", s/60)
	case s < 2*86400:
		return fmt.Sprintf("%.1f h", s/3600)
	case s < 2*365.25*86400:
		return fmt.Sprintf("%.0f days", s/86400)
	}
	return fmt.Sprintf("%.1f years", s/86400/365.25)
}

// longestChain returns the segments to keep together: the longest one and
// those before and after it that lie on the same clock. A segment that was
// shifted belongs to the one before it.
func longestChain(t *table, segments []segment) []int {
	groups := [][]int{}
	for i, s := range segments {
		if i > 0 && s.shift != 0 && s.shift != segments[i-1].shift {
			groups[len(groups)-1] = append(groups[len(groups)-1], i)
			continue
		}
		groups = append(groups, []int{i})
	}
	rows := func(g []int) int { return segments[g[len(g)-1]].to - segments[g[0]].from }
	best := 0
	for i, g := range groups {
		if rows(g) > rows(groups[best]) {
			best = i
		}
	}
	start := func(g []int) float64 { return t.time[segments[g[0]].from] }
	end := func(g []int) float64 { return t.time[segments[g[len(g)-1]].to-1] }
	follows := func(a, b []int) bool {
		gap := start(b) - end(a)
		return gap > 0 && gap <= longestPause && t.dated()
	}
	chain := groups[best]
	for i := best - 1; i >= 0; i-- {
		if follows(groups[i], chain) {
			chain = append(append([]int{}, groups[i]...), chain...)
		}
	}
	for i := best + 1; i < len(groups); i++ {
		if follows(chain, groups[i]) {
			chain = append(append([]int{}, chain...), groups[i]...)
		}
	}
	return chain
}

// extract copies a segment into a table of its own.
func (t *table) extract(s segment) *table {
	p := *t
	p.account = t.account
	p.breaks = nil
	p.warnings = nil
	p.parts = []partMark{{0, s.shift, s.reason}}
	p.time = append([]float64(nil), t.time[s.from:s.to]...)
	p.columns = make([]tableColumn, len(t.columns))
	p.lines = lineMap{}
	for i, c := range t.columns {
		p.columns[i] = c
		p.columns[i].values = append([]float64(nil), c.values[s.from:s.to]...)
		p.columns[i].tallies = nil
	}
	for r := s.from; r < s.to; r++ {
		p.lines.add(r-s.from, t.lines.of(r))
	}
	return &p
}

// markHeaders begins a part where a header was repeated although the clock
// went on.
func (t *table) markHeaders() {
	for _, b := range t.breaks {
		i := sort.Search(len(t.parts), func(i int) bool { return t.parts[i].row >= b })
		if b == 0 || b >= len(t.time) {
			continue
		}
		if i < len(t.parts) && t.parts[i].row == b {
			t.parts[i].reason = "header repeated; " + t.parts[i].reason
			continue
		}
		shift := 0.0
		if i > 0 {
			shift = t.parts[i-1].shift
		}
		t.parts = append(t.parts, partMark{})
		copy(t.parts[i+1:], t.parts[i:])
		t.parts[i] = partMark{b, shift, "header repeated: the logger was restarted"}
	}
}
