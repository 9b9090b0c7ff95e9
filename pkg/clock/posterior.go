package clock

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// highest returns the index of the largest value; −1 where all are missing.
func highest(x []float64) int {
	best := -1
	for i, v := range x {
		if !math.IsNaN(v) && (best < 0 || v > x[best]) {
			best = i
		}
	}
	return best
}

// widths returns the length of offset axis that each grid point stands for.
func widths(offset []float64) []float64 {
	w := make([]float64, len(offset))
	for i := range offset {
		lo, hi := offset[max(i-1, 0)], offset[min(i+1, len(offset)-1)]
		w[i] = (hi - lo) / 2
	}
	return w
}

// weigh turns a log-likelihood over offsets, against no relation, into a result: flat
// prior over a range of the given length, of which the offsets that matter are listed.
func weigh(offset, logL []float64, length float64, opts Options, r Result) (Result, error) {
	w := widths(offset)
	mass := make([]float64, len(offset))
	best := highest(logL)
	if best < 0 {
		return r, fmt.Errorf("%w: there is less than %.0f s of common time at every offset", ErrUndecided, opts.MinOverlap)
	}
	total := 0.0
	r.Profile = Profile{Offset: offset, LogLikelihood: make([]float64, len(logL)), Top: logL[best], Length: length}
	for i, g := range logL {
		r.Profile.LogLikelihood[i] = g - logL[best]
		if math.IsNaN(g) || math.IsInf(g, -1) {
			continue
		}
		mass[i] = w[i] * math.Exp(g-logL[best])
		total += mass[i]
	}
	r.Offset = offset[best]
	lo, hi := densest(offset, logL, mass, w, 0.95*total)
	r.Interval = series.Interval{From: r.Offset - math.Hypot(r.Offset-lo, 1.96*opts.Delay), To: r.Offset + math.Hypot(hi-r.Offset, 1.96*opts.Delay)}
	r.Evidence = logL[best] + math.Log(total/length)
	r.Alternatives = hills(offset, logL, mass, best)
	for _, a := range r.Alternatives { // the delays go with each of them
		r.Interval = series.Interval{From: math.Min(r.Interval.From, a.Offset-normal*opts.Delay), To: math.Max(r.Interval.To, a.Offset+normal*opts.Delay)}
	}
	return r, nil
}

// judged decides whether the weighed result is an answer. Two to four offsets
// that fit about equally are one, with a warning and an interval over all, as long
// as they lie within MaxWidth; others are not.
func (r Result) judged(opts Options) (Result, error) {
	switch widest := math.Min(r.Profile.Length/2, opts.MaxWidth); {
	case r.Evidence < opts.MinEvidence:
		return r, fmt.Errorf("%w: the best offset does not explain them enough better than no relation does (Bayes factor %.2g, %.2g needed)", ErrUndecided, math.Exp(r.Evidence), math.Exp(opts.MinEvidence))
	case r.Interval.Duration() > widest && !r.IsAmbiguous():
		return r, fmt.Errorf("%w: offsets over a span of %.0f s fit", ErrUndecided, r.Interval.Duration())
	case len(r.Alternatives) > 3 || r.IsAmbiguous() && r.Interval.Duration() > opts.MaxWidth:
		return r, fmt.Errorf("%w: %d different offsets fit about equally, from %s to %s", ErrUndecided, 1+len(r.Alternatives), signed(r.Interval.From), signed(r.Interval.To))
	}
	r.Warnings = r.doubts()
	return r, nil
}

// doubts says what weakens the estimate.
func (r Result) doubts() (w []estimate.Warning) {
	for _, a := range r.Alternatives {
		w = append(w, estimate.Warning{Kind: estimate.Ambiguous, Text: ambiguityText(a)})
	}
	if zone := r.zoneText(); zone != "" {
		w = append(w, estimate.Warning{Kind: TimeZone, Text: zone})
	}
	if half := r.Interval.Duration() / 2; half > 30 {
		w = append(w, estimate.Warning{Kind: estimate.ClockDoubtful,
			Text: fmt.Sprintf("the offset is known to within %.0f s only; do not read the order of events from it that lie closer together", half)})
	}
	return w
}

// zoneText points out an offset of whole quarter hours, as time zones and
// summer time make it: half an hour at least, met by the interval.
func (r Result) zoneText() string {
	zone := math.Round(r.Offset/900) * 900
	if math.Abs(zone) < 1800 || math.Abs(zone) > 14*3600 || !r.Interval.Contains(zone) || r.Interval.Duration() > 120 {
		return ""
	}
	return fmt.Sprintf("the offset is close to %+.4g h, as between two time zones or summer and winter time; check time-zone of both devices", zone/3600)
}

// densest returns the ends of the smallest set of offsets whose mass reaches
// the wanted one.
func densest(offset, logL, mass, w []float64, wanted float64) (lo, hi float64) {
	order := make([]int, 0, len(offset))
	for i := range offset {
		if mass[i] > 0 {
			order = append(order, i)
		}
	}
	sort.Slice(order, func(a, b int) bool { return logL[order[a]] > logL[order[b]] })
	lo, hi = math.Inf(1), math.Inf(-1)
	sum := 0.0
	for _, i := range order {
		lo, hi = math.Min(lo, offset[i]-w[i]/2), math.Max(hi, offset[i]+w[i]/2)
		if sum += mass[i]; sum >= wanted {
			break
		}
	}
	return lo, hi
}

// hillShare is the share of the best hill's mass from which another hill
// counts as an alternative; hillValley is how far the log-likelihood must fall
// between the two.
const (
	hillShare  = 0.10
	hillValley = 2.0
)

// hills finds separate parts of the likelihood that carry weight.
func hills(offset, logL, mass []float64, best int) []Alternative {
	type hill struct {
		top  int
		mass float64
	}
	var all []hill
	open := false
	floor := 0.0
	cutoff := logL[best] - 8
	for i, g := range logL {
		if math.IsNaN(g) || g < cutoff {
			open = false
			continue
		}
		if !open {
			all = append(all, hill{top: i})
			open, floor = true, g
		}
		h := &all[len(all)-1]
		floor = math.Min(floor, g)
		if g > logL[h.top] {
			h.top, floor = i, g
		} else if g > floor+hillValley { // rises again from a valley
			all = append(all, hill{top: i})
			h, floor = &all[len(all)-1], g
		}
		h.mass += mass[i]
	}
	bestMass := 0.0
	for _, h := range all {
		if h.top == best {
			bestMass = h.mass
		}
	}
	var found []Alternative
	for _, h := range all {
		if math.Abs(offset[h.top]-offset[best]) > summitDistance && h.mass >= hillShare*bestMass && logL[h.top] > logL[best]-hillValley-2 {
			found = append(found, Alternative{offset[h.top], math.Exp(logL[h.top] - logL[best])})
		}
	}
	slices.SortFunc(found, func(a, b Alternative) int {
		if a.Support > b.Support {
			return -1
		}
		return 1
	})
	return found[:min(len(found), 5)]
}
