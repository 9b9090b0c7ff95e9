package thermostat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/course"
)

// bend is the end of a climb: bins from the climb's begin to its end.
type bend struct {
	from, at int
	height   float64 // K, temperature at the end
	deficit  float64 // K, see shortfall
	// flattens is when the climb began to flatten on its way to the end, s: a
	// slow probe, or a valve that opens softly, rounds the corner.
	flattens float64
}

// After the first flow the coolant at the engine's outlet bends when cold water
// has come round: hoses and core hold 1 to 3 l, and what passes a valve that
// has just begun to lift takes 5 to 15 s for that; probes lag on top.
const (
	roundTripTypical = 3.0  // s
	roundTrip        = 20.0 // s, at most
)

// loadStep is a change of speed, m/s, that changes what the coolant gets by as
// much as a valve does.
const loadStep = 7.0

// fullLift is how far above its start a thermostat is fully open, K: 11 to 15
// (workshop limits).
const fullLift = 13.0

// hottestBend is how far above its start a valve's bend comes at the most, K: the
// coolant goes on climbing for a round trip, and a probe reads 2.5 K high.
const hottestBend = 6.0

// longCorner is the longest that a piece of a rounded corner takes, s.
const longCorner = 90.0

// enoughAfter is how long a record must go on after a bend, s, for what is held
// to be regulation: a few minutes downhill hold the coolant, too.
const enoughAfter = 300.0

// dropsAfter reports whether the coolant falls by 3 K and more within two
// minutes of a bend: cold coolant came round.
func (tr *trace) dropsAfter(b bend, run [2]int) bool {
	hi := min(run[1], tr.index(tr.t[b.at]+120))
	return b.at < hi && tr.quantile(b.at, hi, 0.98)-tr.quantile(b.at, hi, 0.05) >= 3+tr.quantum && tr.y[hi-1] < b.height
}

// startBelow is how far below the held level an opening may begin, K.
const startBelow = 14.0

// fitBend dates the onset: the last climb before the level, then a departure
// downward from it.
func (tr *trace) fitBend(lv level, run [2]int, speed []float64, rules Rules, v *verdict) {
	b, rivals, found := tr.chooseBend(lv, run, speed, rules)
	known := rules.Opening.Kelvin() > 0
	lo, hi := tr.around(b, run)
	// A thermostat that is stuck open lets the coolant settle too, but low and
	// without a sharp end of the climb.
	gentle := b.deficit < 4 && !tr.holdsTight(lv) || b.deficit < 11 && lv.value < celsius(81)
	if !found || gentle && !known {
		v.outcome = NotDecidable
		v.reason = fmt.Sprintf("the coolant settles gently at %s without a bend that only an opening explains: the thermostat may have opened, or be stuck open", tr.degrees(lv.value))
		if found {
			v.rejected = append(v.rejected, Candidate{tr.role, tr.t[b.at], fmt.Sprintf("the warm-up so far predicts only %s more within four minutes", tr.kelvins("%.0f", b.deficit))})
		}
		return
	}
	if reason, why := tr.doubtBend(b, lv, run, speed, rules); reason != "" {
		v.outcome, v.reason = NotDecidable, reason
		v.rejected = append(v.rejected, Candidate{tr.role, tr.t[b.at], why})
		return
	}
	p, err := tr.onset(lo, hi, course.Bends)
	if err != nil {
		v.outcome = NotDecidable
		v.reason = fmt.Sprintf("the bend at %.0f s is too close to an end of the record to be dated", tr.t[lv.reached])
		return
	}
	// The sharp bend is what an eye sees and what is reported. A soft start
	// cannot be told from the end of a climb under a changing load, so the
	// first flow is not sought in the shape: it comes before the bend by what
	// the coolant takes round the radiator and the probe's lag.
	kink, err := tr.onset(lo, hi, []changepoint.Shape{changepoint.Power(1)})
	if err != nil {
		kink = p
	}
	// With rare readings the corner's shape is the model's word, too.
	before, after := tr.step/2, tr.step/2
	if tr.step > 4 {
		before, after = 0.7*tr.step, 1.2*tr.step
	}
	at := kink.Mode()
	span := series.Interval{From: min(max(kink.Quantile(0.025), at-25-tr.step), at-roundTrip) - before,
		To: max(p.Quantile(0.975), kink.Quantile(0.975)) + after}
	if b.at > 0 && b.flattens < tr.t[b.at]-1 {
		span.From = min(span.From, b.flattens-roundTrip-before)
	}
	for _, r := range rivals {
		v.rejected = append(v.rejected, Candidate{tr.role, tr.t[r.at], fmt.Sprintf("also bends, at %s, which load explains less well than the other; the interval takes it in", tr.degrees(r.height))})
		span.From, span.To = min(span.From, tr.t[r.at]-10), max(span.To, tr.t[r.at]+10)
	}
	if i := tr.peakBefore(b, run); i >= 0 && !known {
		v.rejected = append(v.rejected, Candidate{tr.role, tr.t[i], fmt.Sprintf("the coolant came to %s and fell again, before the climb to %s: a valve that opens as the load goes looks so, too; the interval takes it in", tr.degrees(tr.y[i]), tr.degrees(b.height))})
		span.From = min(span.From, tr.t[i]-roundTrip-before)
		v.vague = true
	}
	e := &Evidence{Role: tr.role, Model: Bend, Onset: onset(at-roundTripTypical, span), LogEvidence: p.LogEvidence, Fit: tr.curve(lo, p.Fit)}
	v.vague = v.vague || len(rivals) > 0
	e.Says = fmt.Sprintf("climbs at %s/min, bends at %.0f s, then holds %s", tr.kelvins("%.1f", 60*p.Before), at, tr.degrees(lv.value))
	v.evidence, v.outcome, v.firm = e, Opened, true
	for i := tr.index(e.Onset.Value); i < run[1]; i++ {
		if math.Abs(tr.y[i]-lv.value) <= 1 {
			v.fullyOpen = tr.t[i]
			break
		}
	}
	v.reason = fmt.Sprintf("the coolant %s", e.Says)
}

// nearPeak is how far below a bend an earlier peak may lie that is the opening as
// well, K: more than a third of a valve's lift.
const nearPeak = 5.0

// peakBefore returns the bin at which the coolant, before a bend, first came to a
// height near the bend's from which it fell again, as when the valve opens while
// the car slows; -1 if it did not.
func (tr *trace) peakBefore(b bend, run [2]int) int {
	fell := 1 + tr.quantum
	height := min(b.height, tr.y[b.at]) // a line through two peaks ends above both
	top := run[0]
	for i := run[0]; i < b.at; i++ {
		if tr.y[i] > tr.y[top] {
			top = i
		}
		if tr.y[top] >= height-nearPeak && tr.y[top]-tr.y[i] >= fell {
			first := run[0]
			for tr.y[first] < tr.y[top]-fell {
				first++
			}
			return first
		}
	}
	return -1
}

// gapAfter reports a gap that follows a bend so soon that what was seen of the
// coolant until then does not show whether the valve held it: neither that cold
// coolant came round nor what a climb falls behind by within four minutes.
func (tr *trace) gapAfter(b bend, run [2]int) (series.Interval, bool) {
	if run[1] >= len(tr.t) || tr.t[run[1]-1]-tr.t[b.at] > shortfallTime || tr.dropsAfter(b, run) {
		return series.Interval{}, false
	}
	return series.Interval{From: tr.t[run[1]-1], To: tr.t[run[1]]}, true
}

// doubtBend returns why a bend may be none, for the whole drive and for the
// bend alone; empty if it may stand.
func (tr *trace) doubtBend(b bend, lv level, run [2]int, speed []float64, rules Rules) (reason, why string) {
	if i := tr.falls(speed, lv.value-8, 6, rules); i >= 0 && i < b.at {
		return fmt.Sprintf("the coolant had fallen to %s by %.0f s while the car was driven, before it came to %s: it follows the load, as with a thermostat that is stuck open", tr.degrees(tr.y[i]), tr.t[i], tr.degrees(lv.value)),
			"the coolant fell with the load before"
	}
	if why := tr.neverShut(b.at, speed, leastDoubt, rules); why != "" {
		return fmt.Sprintf("the climb ends at %s, but before: %s", tr.degrees(b.height), why), "the coolant lost heat before as with a thermostat that is stuck open"
	}
	if b.height > celsius(hottestStart+hottestBend) {
		return fmt.Sprintf("the climb ends at %s, hotter than any thermostat begins to open at: load and radiator balance there", tr.degrees(b.height)), "it is hotter than any thermostat begins to open at"
	}
	if gap, ok := tr.gapAfter(b, run); ok {
		return fmt.Sprintf("the climb ends at %s, and a gap from %.0f to %.0f s comes before the coolant is seen to be held: the opening may lie in it", tr.degrees(b.height), gap.From, gap.To),
			"a gap follows"
	}
	// A thermostat holds the coolant anywhere from its start to full lift, so a
	// record that begins within that span of a bend has not seen it shut.
	if first := tr.y[0]; first > rules.Lowest.Kelvin() && b.height-first < fullLift {
		return fmt.Sprintf("the record begins at %s, only %s below where the climb ends: the thermostat may have been open before", tr.degrees(first), tr.kelvins("%.0f", b.height-first)),
			"the record begins too little below it"
	}
	least := enoughAfter
	if rules.Opening.Kelvin() > 0 {
		least /= 3
	}
	if left := tr.t[len(tr.t)-1] - tr.t[b.at]; left < least && !tr.dropsAfter(b, run) {
		return fmt.Sprintf("the climb ends at %s, and the record %.0f s after it: a light load, as downhill, looks the same for so long", tr.degrees(b.height), left),
			fmt.Sprintf("the record ends %.0f s later", left)
	}
	if up := tr.speedsUp(speed, b.at); up < -loadStep && !tr.holdsTight(lv) {
		return fmt.Sprintf("the climb ends at %s as the car slows by %s, and the coolant holds no level tightly afterwards: less load explains it as well", tr.degrees(b.height), tr.speed(-up)),
			fmt.Sprintf("the car slows by %s with the bend", tr.speed(-up))
	}
	return "", ""
}

// holdsTight reports whether the coolant, once at its level, keeps within 2 K
// of it for most of five minutes and more, at a height where only a thermostat
// holds it.
func (tr *trace) holdsTight(lv level) bool {
	n := len(tr.y)
	return lv.value > celsius(80) && tr.t[n-1]-tr.t[lv.reached] > 300 &&
		tr.quantile(lv.reached, n, 0.8)-tr.quantile(lv.reached, n, 0.2) <= 2.2
}

func (tr *trace) onset(lo, hi int, shapes []changepoint.Shape) (changepoint.Posterior, error) {
	return changepoint.Onset(tr.t[lo:hi], tr.y[lo:hi], changepoint.OnsetRules{Direction: -1, Quantization: tr.quantum, Shapes: shapes})
}

// bends lists the ends of climbs in a run up to a while after the level is
// reached.
func (tr *trace) bends(lv level, run [2]int, speed []float64) []bend {
	lo, hi := run[0], min(run[1], tr.index(tr.t[lv.reached]+240))
	noise := max(tr.quantum/math.Sqrt(12), 0.15)
	c, err := changepoint.KinksCoarse(tr.t[lo:hi], tr.y[lo:hi], 40*noise*noise*math.Log(float64(hi-lo)), max(1, int(10/tr.step)), 150)
	if err != nil {
		return nil
	}
	slopes := c.Slopes(tr.t[lo:hi])
	parked := tr.parked(speed)
	var all []bend
	for i, slope := range slopes {
		end := cornerEnd(i, slopes, func(k int) float64 { return tr.t[lo+c.Knots[k+1]] - tr.t[lo+c.Knots[k]] }, func(k int) float64 { return c.Heights[k+1] - c.Heights[k] })
		if slope <= 0.01 || c.Heights[i+1]-c.Heights[i] < leastClimb || end < len(slopes) && slopes[end] > 0.4*slope {
			continue
		}
		b := bend{from: lo + c.Knots[i], at: lo + c.Knots[end], height: c.Heights[end]}
		if lo > 0 && tr.t[b.at]-tr.t[lo] < 60 {
			continue // its climb lies in a gap
		}
		if parked[b.at] || parked[min(len(parked)-1, tr.index(tr.t[b.at]+15))] {
			continue // the car stopped then
		}
		b.deficit = tr.shortfall(b.at, run, speed)
		b.flattens = tr.flattens(b.at, slopes[:end], c.Knots, lo, speed)
		all = append(all, b)
	}
	return all
}

// leastClimb is the least gain of a piece that counts as a climb, K.
const leastClimb = 2.0

// cornerEnd is the piece with which the climb i is over: the next one, or the
// one after short pieces on which it still climbs, but by too little to be a climb
// of its own: lines that cut a corner.
func cornerEnd(i int, slopes []float64, lasts, gain func(int) float64) int {
	k := i + 1
	for k < len(slopes) && slopes[k] > 0.4*slopes[i] && gain(k) < leastClimb && lasts(k) < longCorner {
		k++
	}
	return k
}

// flattens goes back from the end of a climb, whose pieces have the slopes
// given, over pieces that are each flatter than the one before and no more than
// a corner's length, while the car does not go slower.
func (tr *trace) flattens(at int, slopes []float64, knots []int, lo int, speed []float64) float64 {
	from := at
	for i := len(slopes) - 1; i > 0; i-- {
		k := lo + knots[i]
		if slopes[i] > 0.7*slopes[i-1] || tr.t[from]-tr.t[k] > longCorner || tr.speedsUp(speed, k) < -loadStep/2 {
			break
		}
		from = k
	}
	return tr.t[from]
}

// shortfallTime is how long a climb is followed after its end, s.
const shortfallTime = 240.0

// shortfall is by how much the coolant, within four minutes after bin at,
// falls behind what the warm-up so far predicts under the load since.
func (tr *trace) shortfall(at int, run [2]int, speed []float64) float64 {
	w, ok := tr.warming(speed, at)
	if !ok {
		return math.NaN()
	}
	gain, most := 0.0, 0.0
	for i := at + 1; i < run[1] && tr.t[i] < tr.t[at]+shortfallTime; i++ {
		gain += w.Rate(valueAt(speed, i), tr.y[i]) * (tr.t[i] - tr.t[i-1])
		most = max(most, gain-(tr.y[i]-tr.y[at]))
	}
	return most
}

// chooseBend returns the first bend that only an opening explains. Without
// such a bend it takes the first that reaches the level. rivals are other bends
// that could be the opening if the load was not what speed says.
func (tr *trace) chooseBend(lv level, run [2]int, speed []float64, rules Rules) (chosen bend, rivals []bend, found bool) {
	all := tr.bends(lv, run, speed)
	if rules.Opening.Kelvin() > 0 {
		for i, b := range all {
			if math.Abs(b.height-rules.Opening.Kelvin()) <= rules.OpeningWithin.Kelvins() && !(b.deficit < 3) && !tr.climbsOn(all[i:], speed) {
				return b, nil, true
			}
		}
		return bend{}, nil, false
	}
	// A thermostat whose coolant strays by x K with the load began to open
	// about that far below the level that it holds longest.
	n := len(tr.y)
	stray := tr.quantile(lv.reached, n, 0.9) - tr.quantile(lv.reached, n, 0.1)
	allowed := min(max(stray, 2.5), 9)
	pick := -1
	for i, b := range all {
		if b.opens(lv, allowed) && !tr.climbsOn(all[i:], speed) {
			pick = i
			break
		}
	}
	if pick < 0 { // none: the first that reaches the level
		pick = slices.IndexFunc(all, func(b bend) bool { return b.height > lv.value-2.5 })
	}
	if pick < 0 {
		return bend{}, nil, false
	}
	return all[pick], tr.rivals(all, pick, lv, allowed), true
}

// opens reports whether a bend is high enough, and the coolant's shortfall
// after it large enough, for an opening. allowed is how far below the level it
// may be as coolant strays.
func (b bend) opens(lv level, allowed float64) bool {
	switch {
	case b.height > lv.value-2.5:
		return b.height > celsius(66) && !(b.deficit < 4)
	case b.height > lv.value-allowed:
		return b.height > celsius(66) && !(b.deficit < 8)
	}
	// The valve lifts by degrees: full lift comes 11 to 15 K above the start
	// (workshop limits), so what is held may be far above the start.
	return b.height > lv.value-startBelow && b.height > celsius(62) && b.deficit > 12
}

// rivals lists the bends beside the one picked that could be the opening.
func (tr *trace) rivals(all []bend, pick int, lv level, allowed float64) (rivals []bend) {
	for i, b := range all {
		if i != pick && b.height > lv.value-1.4*allowed && b.height > celsius(66) && b.deficit > 5 &&
			(i < pick || b.height > all[pick].height+1.8) && math.Abs(tr.t[b.at]-tr.t[all[pick].at]) < 400 {
			rivals = append(rivals, b)
		}
	}
	return rivals
}

// climbsOn reports whether the climb resumes soon after the first of the
// bends, at a rate that goes with a closed thermostat: then the first was only
// a change of load.
func (tr *trace) climbsOn(all []bend, speed []float64) bool {
	first := all[0]
	w, ok := tr.warming(speed, first.at)
	if !ok {
		return false
	}
	for _, b := range all[1:] {
		if tr.t[b.from]-tr.t[first.at] > 400 {
			break
		}
		if b.height < first.height+1.5 || b.deficit < 4 {
			continue
		}
		gain := 0.0
		for i := b.from + 1; i <= b.at; i++ {
			gain += w.Rate(valueAt(speed, i), tr.y[i]) * (tr.t[i] - tr.t[i-1])
		}
		if tr.y[b.at]-tr.y[b.from] > 0.5*gain {
			return true
		}
	}
	return false
}

// valueAt is x[i], NaN where the drive has no such channel.
func valueAt(x []float64, i int) float64 {
	if x == nil {
		return math.NaN()
	}
	return x[i]
}

// around returns the bins from the begin of the climb to a minute or so after
// its end, and not beyond where the coolant turns up again: a valve that hunts
// gives it a second peak, which would be dated as well.
func (tr *trace) around(b bend, run [2]int) (lo, hi int) {
	climb := tr.t[b.at] - tr.t[b.from]
	hi = min(run[1], tr.index(tr.t[b.at]+max(30, min(climb, 75))))
	turn := hunts + tr.quantum
	peak, low := b.at, b.at
	for i := b.at; i < hi; i++ {
		if tr.y[i] > tr.y[peak] {
			peak, low = i, i
		}
		if tr.y[i] < tr.y[low] {
			low = i
		}
		if low >= b.at+fewestAfter && tr.y[peak]-tr.y[low] >= turn && tr.y[i]-tr.y[low] >= turn {
			hi = low + 1
			break
		}
	}
	return max(run[0], b.from), hi
}

// hunts is a fall after a peak, and a rise after it, that is more than noise, K;
// fewestAfter are the bins after a climb's end that date it at least.
const (
	hunts       = 2.0
	fewestAfter = 5
)
