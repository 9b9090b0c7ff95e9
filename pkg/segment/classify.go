package segment

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// classify gives each cell a kind and joins equal neighbours.
func (m *motion) classify(rules Rules) []piece {
	kinds := make([]Kind, len(m.speed))
	for i, v := range m.speed {
		kinds[i] = OpenRoad
		if math.IsNaN(v) {
			kinds[i] = Unknown
		}
	}
	m.markStops(kinds, rules)
	m.markSteady(kinds, rules)
	m.markStopAndGo(kinds, rules)
	m.markFullThrottle(kinds, rules)
	pieces := absorb(m.pieces(kinds), rules)
	return m.cover(pieces)
}

// markStops finds rest by hysteresis: below StopBelow to begin, above
// MoveAbove to end, and at least StopHold long.
func (m *motion) markStops(kinds []Kind, rules Rules) {
	low, high := rules.StopBelow.MetresPerSecond(), rules.MoveAbove.MetresPerSecond()
	for i := 0; i < len(kinds); i++ {
		if kinds[i] == Unknown || m.slow[i] >= low {
			continue
		}
		j := i
		for j < len(kinds) && kinds[j] != Unknown && m.slow[j] < high {
			j++
		}
		if float64(j-i)*m.step >= rules.StopHold {
			for k := i; k < j; k++ {
				kinds[k] = Stopped
			}
		}
		i = max(i, j-1)
	}
}

// markSteady grows stretches of small acceleration while the speed keeps close
// to their mean.
func (m *motion) markSteady(kinds []Kind, rules Rules) {
	limit, width := rules.SteadyAcceleration.MetresPerSecondSquared(), 2*rules.SteadyDeviation.MetresPerSecond()
	for i := 0; i < len(kinds); i++ {
		if kinds[i] != OpenRoad || !(math.Abs(m.trend[i]) < limit) {
			continue
		}
		sum, square, n, pause, last := 0.0, 0.0, 0.0, 0.0, i
		for j := i; j < len(kinds) && kinds[j] == OpenRoad; j++ {
			v := m.speed[j]
			if n >= 5 && math.Abs(v-sum/n) > width {
				break
			}
			// A short breach of the acceleration, or a mild one, is forgiven.
			switch a := math.Abs(m.trend[j]); {
			case a < limit:
				pause, last = 0, j
			case a < 2*limit:
				pause += m.step / 2
			default:
				pause += m.step
			}
			if pause > 8 {
				break
			}
			sum, square, n = sum+v, square+v*v, n+1
		}
		mean := sum / n
		deviation := math.Sqrt(math.Max(0, square/n-mean*mean))
		if float64(last-i+1)*m.step >= rules.SteadyHold && deviation < rules.SteadyDeviation.MetresPerSecond() {
			for k := i; k <= last; k++ {
				kinds[k] = Steady
			}
		}
		i = max(i, last)
	}
}

// markStopAndGo turns slow traffic with stops into one kind. A long stop
// remains a stop.
func (m *motion) markStopAndGo(kinds []Kind, rules Rules) {
	n := len(kinds)
	begins, sum, known := make([]int, n+1), make([]float64, n+1), make([]float64, n+1)
	length := m.stopLengths(kinds)
	for i := range n {
		begins[i+1], sum[i+1], known[i+1] = begins[i], sum[i], known[i]
		if kinds[i] == Stopped && (i == 0 || kinds[i-1] != Stopped) && length[i] < rules.SoakStop {
			begins[i+1]++
		}
		if kinds[i] != Unknown && !(kinds[i] == Stopped && length[i] >= rules.SoakStop) {
			sum[i+1] += m.speed[i]
			known[i+1]++
		}
	}
	half := int(rules.StopAndGoWindow / 2 / m.step)
	slow := make([]bool, n)
	for i := range n {
		a, b := max(0, i-half), min(n, i+half+1)
		stops := begins[b] - begins[a]
		slow[i] = stops >= rules.StopAndGoStops && sum[b]-sum[a] < rules.StopAndGoBelow.MetresPerSecond()*(known[b]-known[a])
	}
	crawling := m.crawls(kinds, rules)
	for i := range n {
		slow[i] = slow[i] && crawling[i] && kinds[i] != Unknown && !(kinds[i] == Stopped && length[i] >= rules.SoakStop)
	}
	joinMoving(kinds, slow)
}

// joinMoving turns runs of marked cells into stop-and-go, but for those that
// are a stop alone.
func joinMoving(kinds []Kind, marked []bool) {
	for i := 0; i < len(kinds); {
		j, moves := i, false
		for ; j < len(kinds) && marked[j]; j++ {
			moves = moves || kinds[j] != Stopped
		}
		for k := i; k < j && moves; k++ {
			kinds[k] = StopAndGo
		}
		i = max(j, i+1)
	}
}

// quickHop is how many times StopAndGoBelow a way from stop to stop may be
// fast on average and still belong to traffic that stops and goes.
const quickHop = 1.3

// crawls says for each cell whether it belongs to a way from stop to stop that
// is itself slow, or is a stop beside one: a quick stretch between two slow
// ones has stops near it and is none of them.
func (m *motion) crawls(kinds []Kind, rules Rules) []bool {
	n := len(kinds)
	slow := make([]bool, n)
	most := quickHop * rules.StopAndGoBelow.MetresPerSecond()
	for i := 0; i < n; {
		j, sum, known := i, 0.0, 0.0
		for ; j < n && kinds[j] != Stopped; j++ {
			if kinds[j] != Unknown {
				sum, known = sum+m.speed[j], known+1
			}
		}
		from, to := i, j
		for ; j < n && kinds[j] == Stopped; j++ {
		}
		if i < to && sum < most*known {
			for from > 0 && kinds[from-1] == Stopped {
				from--
			}
			for k := from; k < j; k++ {
				slow[k] = true
			}
		}
		i = max(j, i+1)
	}
	return slow
}

// stopLengths returns for each cell how long the stop that it belongs to lasts
// in seconds, 0 in motion.
func (m *motion) stopLengths(kinds []Kind) []float64 {
	n := len(kinds)
	length := make([]float64, n)
	for i := 0; i < n; {
		j := i
		for j < n && kinds[j] == Stopped {
			j++
		}
		for k := i; k < j; k++ {
			length[k] = float64(j-i) * m.step
		}
		i = max(j, i+1)
	}
	return length
}

// nearTop is the share of a hard stretch's level that still belongs to it: what is
// asked of the engine before and after is less.
const nearTop = 0.75

// aloneLikely is enough for full throttle where a drive is looked at alone: it can
// hardly tell more, and its pulls are compared with nothing.
const aloneLikely = 0.7

// markFullThrottle uses the owner's word and the throttle where there is one, else
// how likely a stretch's effort is that of a throttle fully open.
func (m *motion) markFullThrottle(kinds []Kind, rules Rules) {
	full := func(i int) bool {
		open, _ := m.toldFull(i, rules)
		return open && kinds[i] != Unknown && kinds[i] != Stopped
	}
	for i := 0; i < len(kinds); i++ {
		j := i
		for j < len(kinds) && full(j) {
			j++
		}
		if float64(j-i)*m.step >= rules.FullThrottleHold && j > i {
			for k := i; k < j; k++ {
				kinds[k] = FullThrottle
			}
		}
		i = max(i, j-1)
	}
	if m.throttle == nil || !math.IsInf(m.stop, 1) {
		m.markLikely(kinds, rules)
	}
}

// markLikely marks the hard stretches that nobody and no throttle has told of, by
// how likely full throttle is.
func (m *motion) markLikely(kinds []Kind, rules Rules) {
	enough := rules.FullThrottleLikely
	if len(rules.learnt.drives) < 2 {
		enough = math.Min(enough, aloneLikely)
	}
	for _, s := range m.surges(rules.learnt.most.least, rules) {
		if s.full != 0 {
			continue
		}
		likely, kind := rules.learnt.most.likely(s), FullThrottle
		if likely < rules.BriskAbove {
			continue
		}
		if likely < enough {
			kind = Brisk
		}
		for k := s.from; k < s.to; k++ {
			if m.effort.power[k] >= nearTop*s.level && kinds[k] != Unknown && kinds[k] != Stopped {
				kinds[k], m.likely[k] = kind, likely
			}
		}
	}
}

// toldFull is whether a cell's throttle was fully open, if the owner or a channel
// tells it; the owner's word goes first.
func (m *motion) toldFull(i int, rules Rules) (full, told bool) {
	if full, told = m.saidToBeFull(i); told || m.throttle == nil {
		return full, told
	}
	v := m.throttle[i]
	return v >= rules.FullThrottleAbove, !math.IsNaN(v) && (v >= rules.FullThrottleAbove || v < m.stop)
}

// A sensor may end short of 1: many a pedal's reads about 0.8 at its stop. Readings
// within stopWidth of the highest of a drive tell nothing where that is more than
// leastStop and less than what counts as full: the throttle may have been open.
// Common practice, no source.
const (
	leastStop = 0.6
	stopWidth = 0.05
)

// stopOf is the opening from which on a throttle that never reaches full does not
// tell that it was less; infinite where there is no such.
func stopOf(opening []float64, rules Rules) float64 {
	top := 0.0
	for _, v := range opening {
		if v > top {
			top = v
		}
	}
	if top < leastStop || top >= rules.FullThrottleAbove {
		return math.Inf(1)
	}
	return top - stopWidth
}

// saidToBeFull is what the owner says of a cell's throttle, if anything; the last
// word counts.
func (m *motion) saidToBeFull(i int) (holds, said bool) {
	t := m.from + (float64(i)+0.5)*m.step
	for _, s := range m.of.FullThrottle {
		if s.Interval.Contains(t) {
			holds, said = s.Holds, true
		}
	}
	return holds, said
}

// pieces joins equal neighbours.
func (m *motion) pieces(kinds []Kind) []piece {
	var all []piece
	for i := 0; i < len(kinds); {
		j := i
		for j < len(kinds) && kinds[j] == kinds[i] {
			j++
		}
		p := piece{kind: kinds[i], span: series.Interval{From: m.from + float64(i)*m.step, To: m.from + float64(j)*m.step}}
		if p.kind == FullThrottle {
			p.basis, p.likely = "throttle opening", 1
			if _, said := m.saidToBeFull((i + j) / 2); said {
				p.basis, p.stated = "stated in the campaign", true
			}
		}
		if l := m.likeliest(i, j); !p.stated && l > 0 {
			p.basis, p.likely = fmt.Sprintf("power from speed, acceleration and grade: %.0f %% likely at full throttle", 100*l), l
		}
		all = append(all, p)
		i = j
	}
	return all
}

// likeliest is the highest probability of full throttle in cells i to j, 0 where
// none was inferred.
func (m *motion) likeliest(i, j int) float64 {
	most := 0.0
	for k := i; k < j; k++ {
		most = math.Max(most, m.likely[k])
	}
	return most
}

// absorb joins pieces that are too short with their longer neighbour, the
// shortest first. Full throttle and what may be keep their own least duration.
func absorb(all []piece, rules Rules) []piece {
	for {
		shortest, least := -1, rules.MinimumDuration
		for i, p := range all {
			if d := p.span.Duration(); d < least && !p.kind.hard() && len(all) > 1 {
				shortest, least = i, d
			}
		}
		if shortest < 0 {
			return all
		}
		into := shortest - 1
		if into < 0 || shortest+1 < len(all) && rank(all[shortest+1]) > rank(all[into]) {
			into = shortest + 1
		}
		all[into].span.From = math.Min(all[into].span.From, all[shortest].span.From)
		all[into].span.To = math.Max(all[into].span.To, all[shortest].span.To)
		all = append(all[:shortest], all[shortest+1:]...)
		all = joinEqual(all)
	}
}

// rank says which neighbour takes a short piece: open road before others, then
// the longer; full throttle, rest and gaps rather not.
func rank(p piece) float64 {
	switch p.kind {
	case OpenRoad:
		return 1e6 + p.span.Duration()
	case Steady, StopAndGo:
		return p.span.Duration()
	}
	return -1 / p.span.Duration()
}

// joinEqual joins neighbours of one kind. Only what is stated of both is stated
// of the whole.
func joinEqual(all []piece) []piece {
	kept := all[:1]
	for _, p := range all[1:] {
		if last := &kept[len(kept)-1]; last.kind == p.kind {
			last.span.To = p.span.To
			last.likely = math.Min(last.likely, p.likely)
			if last.stated && !p.stated {
				last.stated, last.basis = false, p.basis
			}
		} else {
			kept = append(kept, p)
		}
	}
	return kept
}

// cover adds unknown pieces where other channels reach beyond the speed.
func (m *motion) cover(all []piece) []piece {
	if first := all[0].span.From; m.span.From < first {
		all = append([]piece{{kind: Unknown, span: series.Interval{From: m.span.From, To: first}}}, all...)
	}
	if last := all[len(all)-1].span.To; last < m.span.To {
		all = append(all, piece{kind: Unknown, span: series.Interval{From: last, To: m.span.To}})
	}
	return joinEqual(all)
}
