package repair

import (
	"fmt"
	"slices"
	"sort"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
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

// longestChain returns the segments to keep together: the longest one and
// those before and after it that lie on the same clock. A segment that was
// shifted belongs to the one before it.
func longestChain(t *table.Table, segments []segment) []int {
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
	start := func(g []int) float64 { return t.Time[segments[g[0]].from] }
	end := func(g []int) float64 { return t.Time[segments[g[len(g)-1]].to-1] }
	follows := func(a, b []int) bool {
		gap := start(b) - end(a)
		return gap > 0 && gap <= longestPause && t.Dated()
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
func extract(t *table.Table, s segment) *table.Table {
	p := *t
	p.Account = t.Account
	if f := t.Layout.TimeFormat; f != "" && !f.Dated() && t.Dated() { // elapsed again, from when nothing says
		p.Times, p.Base = f, 0
	}
	p.Breaks = nil
	p.Warnings = nil
	p.Parts = []table.PartMark{{Row: 0, Shift: s.shift, Reason: s.reason}}
	p.Time = append([]float64(nil), t.Time[s.from:s.to]...)
	p.Columns = make([]table.Column, len(t.Columns))
	p.Lines = table.LineMap{}
	for i, c := range t.Columns {
		p.Columns[i] = c
		p.Columns[i].Values = append([]float64(nil), c.Values[s.from:s.to]...)
		p.Columns[i].Tallies = nil
	}
	for r := s.from; r < s.to; r++ {
		p.Lines.Add(r-s.from, t.Lines.Of(r))
	}
	return &p
}

// markHeaders begins a part where a header was repeated although the clock
// went on.
func markHeaders(t *table.Table) {
	for _, b := range t.Breaks {
		i := sort.Search(len(t.Parts), func(i int) bool { return t.Parts[i].Row >= b })
		if b == 0 || b >= len(t.Time) {
			continue
		}
		if i < len(t.Parts) && t.Parts[i].Row == b {
			t.Parts[i].Reason = "header repeated; " + t.Parts[i].Reason
			continue
		}
		shift := 0.0
		if i > 0 {
			shift = t.Parts[i-1].Shift
		}
		t.Parts = append(t.Parts, table.PartMark{})
		copy(t.Parts[i+1:], t.Parts[i:])
		t.Parts[i] = table.PartMark{Row: b, Shift: shift, Reason: "header repeated: the logger was restarted"}
	}
}

// shortestNight in seconds is a pause after which the logger is taken to have
// been switched off: too long for a stop on the way.
const shortestNight = 1800.0

// markPauses begins a part where the device was silent for long.
func markPauses(t *table.Table) {
	begins := map[int]bool{}
	for _, p := range t.Parts {
		begins[p.Row] = true
	}
	least := max(shortestNight, 20*table.TypicalStep(t.Time))
	for r := 1; r < len(t.Time); r++ {
		gap := t.Time[r] - t.Time[r-1]
		if gap < least || begins[r] {
			continue
		}
		i := sort.Search(len(t.Parts), func(i int) bool { return t.Parts[i].Row >= r })
		mark := table.PartMark{Row: r, Reason: fmt.Sprintf("nothing for %s", words.Duration(gap))}
		if i > 0 {
			mark.Shift = t.Parts[i-1].Shift
		}
		t.Parts = slices.Insert(t.Parts, i, mark)
	}
}
