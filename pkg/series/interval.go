package series

import (
	"fmt"
	"math"
	"sort"
)

// Interval is a span of time in seconds after a common start, half-open:
// From belongs to it, To does not.
type Interval struct{ From, To float64 }

// Duration returns the length in seconds, never negative.
func (v Interval) Duration() float64 { return math.Max(0, v.To-v.From) }

// IsEmpty reports whether v holds no instant.
func (v Interval) IsEmpty() bool { return !(v.To > v.From) }

// Contains reports whether t lies in v.
func (v Interval) Contains(t float64) bool { return v.From <= t && t < v.To }

// Intersect returns what v and w share; empty if nothing.
func (v Interval) Intersect(w Interval) Interval {
	r := Interval{math.Max(v.From, w.From), math.Min(v.To, w.To)}
	if r.To < r.From {
		r.To = r.From
	}
	return r
}

// String returns v as "[120 s, 180 s)".
func (v Interval) String() string { return fmt.Sprintf("[%.6g s, %.6g s)", v.From, v.To) }

// index returns the half-open range of sample numbers whose times lie in v.
func (s *Series) index(v Interval) (lo, hi int) {
	lo = sort.SearchFloat64s(s.Time, v.From)
	hi = sort.SearchFloat64s(s.Time, v.To)
	if hi < lo {
		hi = lo
	}
	return lo, hi
}

// Slice returns the part of s whose times lie in v, sharing memory with s.
func (s *Series) Slice(v Interval) *Series {
	lo, hi := s.index(v)
	return &Series{Name: s.Name, Dimension: s.Dimension, Start: s.Start,
		Time: s.Time[lo:hi:hi], Value: s.Value[lo:hi:hi]}
}

// Gaps returns the spans between neighbouring present values that are longer
// than limit seconds, in order. Each begins at the last value before and ends
// at the first value after the gap. A gap before the first or after the last
// value is none.
func (s *Series) Gaps(limit float64) []Interval {
	var gaps []Interval
	last := math.NaN()
	for i, v := range s.Value {
		if math.IsNaN(v) {
			continue
		}
		if t := s.Time[i]; t-last > limit {
			gaps = append(gaps, Interval{last, t})
		}
		last = s.Time[i]
	}
	return gaps
}

// Runs returns the stretches of s without a gap longer than limit seconds, in
// order, each from its first present value to just after its last.
func (s *Series) Runs(limit float64) []Interval {
	var runs []Interval
	from, last := math.NaN(), math.NaN()
	after := func(t float64) float64 { return math.Nextafter(t, math.Inf(1)) }
	for i, v := range s.Value {
		if math.IsNaN(v) {
			continue
		}
		t := s.Time[i]
		switch {
		case math.IsNaN(last):
			from = t
		case t-last > limit:
			runs = append(runs, Interval{from, after(last)})
			from = t
		}
		last = t
	}
	if !math.IsNaN(last) {
		runs = append(runs, Interval{from, after(last)})
	}
	return runs
}
