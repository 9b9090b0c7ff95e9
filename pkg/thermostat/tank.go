package thermostat

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/course"
)

// Behind a closed thermostat the radiator creeps up by leak and conduction;
// when the thermostat opens, coolant at engine temperature pours in.

// judgeTank looks for the fast rise on the radiator side. least is the rise
// that counts; coolant and speed may be nil.
func judgeTank(tr *trace, coolant *trace, speed []float64, least float64, rules Rules) verdict {
	v := verdict{fullyOpen: math.NaN()}
	if len(tr.t) < 30 {
		v.reason = "too few readings"
		return v
	}
	tr.judgeFilling(coolant, speed, least, rules, &v)
	if tr.role == drive.TopTank && tr.quantile(0, len(tr.t), 0.9) > celsius(35) {
		v.drained(tr, speed, rules)
	}
	return v
}

// judgeFilling judges the tank's course: creep, fast rise.
func (tr *trace) judgeFilling(coolant *trace, speed []float64, least float64, rules Rules, v *verdict) {
	n := len(tr.t)
	plateau := tr.quantile(n/3, n, 0.7)
	start := tr.quantile(0, max(1, tr.index(tr.t[0]+10)), 0.5)
	hot := celsius(55)
	if start > hot && start > plateau-12 && tr.quantile(0, max(2, tr.index(tr.t[0]+120)), 1)-start < 8 {
		v.outcome, v.firm = AlreadyOpen, true
		v.reason = fmt.Sprintf("the %s is at %s from the first reading, near the %s that it holds later", tr.role, tr.degrees(start), tr.degrees(plateau))
		return
	}
	var steps []rise // refused, but they could be an opening that goes in steps
	for _, c := range tr.rises(least, rules) {
		if why, part := tr.refuseRise(c, plateau, least, coolant, rules); why != "" {
			v.rejected = append(v.rejected, Candidate{tr.role, tr.t[c.from], why})
			if part {
				steps = append(steps, c)
			}
			continue
		}
		if tr.role == drive.BottomTank && len(v.rejected) > 0 {
			// Behind a cold radiator the first coolant arrives cooled down, and
			// later rises are larger than the one that counts.
			v.reason = fmt.Sprintf("the %s rises more than once, and a later rise need not be the opening", tr.role)
			return
		}
		if tr.t[c.from]-tr.t[0] < 20 {
			v.rejected = append(v.rejected, Candidate{tr.role, tr.t[c.from], "the record begins within the rise"})
			v.outcome, v.reason = NotDecidable, "the record begins while the radiator is already filling: the opening may lie before it"
			return
		}
		tr.fitRise(tr.firstStep(steps, c, rules), speed, rules, v)
		return
	}
	tr.judgeNoRise(start, plateau, least, speed, rules, v)
}

// judgeNoRise says what a tank without an opening's rise means.
func (tr *trace) judgeNoRise(start, plateau, least float64, speed []float64, rules Rules, v *verdict) {
	n := len(tr.t)
	top := tr.quantile(0, n, 0.98)
	if why := tr.warmsWithEngine(start, speed, rules); why != "" {
		v.outcome, v.reason = StuckOpen, why
		return
	}
	if v.reason = tr.hiddenOpening(plateau, least, rules); v.reason != "" {
		return
	}
	if tr.role == drive.BottomTank && top-start > 10 {
		v.reason = fmt.Sprintf("the %s rises from %s to %s without one clear step", tr.role, tr.degrees(start), tr.degrees(top))
		return
	}
	flat := tr.plateau(speed, rules)
	switch {
	case start > celsius(50):
		v.reason = fmt.Sprintf("the %s is warm from the first reading (%s) and shows no fast rise: the thermostat may have been open before, or not", tr.role, tr.degrees(start))
	case flat.found && flat.level < rules.Lowest.Kelvin()+4:
		v.outcome = StuckOpen
		v.reason = fmt.Sprintf("the %s rises smoothly from the start to %s and stays there for %.0f s of driving, with no fast rise: nothing held the coolant back", tr.role, tr.degrees(flat.level), flat.driven)
	case tr.role == drive.TopTank && tr.fallsCold(speed, rules) >= 0 && tr.quantile(0, n, 0.9) > celsius(45):
		v.outcome = StuckOpen
		v.reason = fmt.Sprintf("the %s follows the load up to %s and down again while the car is driven, with no fast rise: nothing holds the coolant back", tr.role, tr.degrees(top))
	case top-start < creepMost && top < celsius(60) && tr.creeps(top):
		v.outcome = NotReached
		v.reason = fmt.Sprintf("the %s only creeps from %s to %s, with no fast rise", tr.role, tr.degrees(start), tr.degrees(top))
	default:
		v.reason = fmt.Sprintf("the %s climbs from %s to %s without a fast rise and without a plateau", tr.role, tr.degrees(start), tr.degrees(top))
	}
}

// creepMost is more than what a sound thermostat lets through to the tank in a
// warm-up, K (judgement; a vent hole passes a few grams a second).
const creepMost = 27.0

// A tank behind a valve that shuts goes from cold to the valve's temperature
// within a minute or three of its opening, in steps where the load is light. One
// that takes slowPassage of driving and never gains more than fastGain in
// gainTime warms as the engine does: 5 to 12 K a minute.
const (
	slowPassage = 420.0 // s
	fastGain    = 24.0  // K
	gainTime    = 120.0 // s
)

// warmsWithEngine returns why a top tank shows that nothing kept the coolant
// from it, empty if it does not.
func (tr *trace) warmsWithEngine(start float64, speed []float64, rules Rules) string {
	low := rules.Lowest.Kelvin()
	if tr.role != drive.TopTank || speed == nil || start > low-25 {
		return ""
	}
	to := 0
	for to < len(tr.y) && tr.y[to] < low {
		to++
	}
	if to == len(tr.y) {
		return ""
	}
	from, driven := to, 0.0
	for from > tr.runOf(to)[0] && tr.y[from] > start+0.3*(low-start) {
		if from--; speed[from] > moving {
			driven += tr.step
		}
	}
	for i, j := 0, 0; i < to; i++ {
		for j < to && tr.t[j]-tr.t[i] < gainTime {
			j++
		}
		if tr.y[j]-tr.y[i] > fastGain {
			return ""
		}
	}
	if driven < slowPassage {
		return ""
	}
	return fmt.Sprintf("the %s warms from %s to %s in %.0f s of driving, as the engine does, nowhere by more than %s in two minutes: the valve does not keep the coolant from it", tr.role, tr.degrees(tr.y[from]), tr.degrees(low), driven, tr.kelvins("%.0f", fastGain))
}

// hiddenOpening returns why an opening may be there unseen: a rise that is too
// slow to count, or one across a gap; empty if neither.
func (tr *trace) hiddenOpening(plateau, least float64, rules Rules) string {
	n := len(tr.t)
	for _, c := range tr.rises(least, rules) {
		if top := tr.quantile(c.peak, tr.index(tr.t[c.peak]+400), 0.9); c.rate > 0.5*rules.MinimumRate && tr.y[c.from] < celsius(60) && top > rules.Lowest.Kelvin() {
			return fmt.Sprintf("the %s rises from %s to %s at %.0f s, more slowly than an opening usually shows: a slow probe, or a thermostat stuck open", tr.role, tr.degrees(tr.y[c.from]), tr.degrees(top), tr.t[c.from])
		}
	}
	for _, r := range tr.runs[1:] {
		before, after := tr.quantile(max(0, r[0]-10), r[0], 0.5), tr.quantile(r[0], min(n, r[0]+10), 0.5)
		if after-before > least && after > celsius(55) && after > plateau-15 {
			return fmt.Sprintf("the %s goes from %s to %s across a gap of %.0f s: it opened there, unseen", tr.role, tr.degrees(before), tr.degrees(after), tr.t[r[0]]-tr.t[r[0]-1])
		}
	}
	return ""
}

// rise is a stretch of fast rise: bins [from, to), steepest at peak.
type rise struct {
	from, to, peak int
	height         float64 // K
	rate           float64 // K/s at the peak
}

// rises lists stretches where the tank gains at least least kelvin within
// RiseTime beyond going on as before.
func (tr *trace) rises(least float64, rules Rules) []rise {
	s := tr.smooth(6)
	w := max(2, int(rules.RiseTime/tr.step))
	slope := max(1, int(8/tr.step))
	var all []rise
	for _, r := range tr.runs {
		for i := r[0]; i < r[1]; i++ {
			if tr.excess(s, r, i, w) < least {
				continue
			}
			j := i
			for j < r[1] && tr.excess(s, r, j, w) >= least {
				j++
			}
			c := rise{from: i, to: min(j+w, r[1])}
			steepest := 0.0
			for k := i; k+slope < min(c.to+1, r[1]); k++ {
				if d := (s[k+slope] - s[k]) / (tr.t[k+slope] - tr.t[k]); d > steepest {
					steepest, c.peak = d, k+(slope+1)/2
				}
			}
			if c.peak > 0 {
				c.height, c.rate = s[c.to-1]-s[i], steepest
				all = append(all, c)
			}
			i = c.to
		}
	}
	return all
}

// excess is the gain over the next w bins beyond that over the last w.
func (tr *trace) excess(s []float64, r [2]int, i, w int) float64 {
	a, b := max(r[0], i-w), min(r[1]-1, i+w)
	gain := s[b] - s[i]
	before := max(0, s[i]-s[a])
	if i > a {
		before *= float64(b-i) / float64(i-a)
	}
	return gain - before
}

// refuseRise returns why the rise is no opening, empty if it may be one, and
// whether it may be the first step of one: a valve that lifts a little and shuts
// again when cold coolant arrives fills the tank in steps.
func (tr *trace) refuseRise(c rise, plateau, least float64, coolant *trace, rules Rules) (why string, step bool) {
	n := len(tr.t)
	after := tr.t[c.peak]
	hi := tr.index(after + 240)
	reached := tr.quantile(c.peak, hi, 0.9)
	before := tr.y[c.from]
	if reached < celsius(50) && reached-before < 2.5*least {
		return fmt.Sprintf("only reaches %s, too cold for coolant from an open thermostat", tr.degrees(reached)), true
	}
	if before > celsius(60) {
		return fmt.Sprintf("begins at %s: the radiator was already hot", tr.degrees(before)), false
	}
	// Coolant poured into a cold tank closes the gap between the two within a
	// minute or two. With the thermostat open from the start the tank can't
	// warm faster than the engine itself does, and stays cooler.
	scale := least / rules.MinimumRise.Kelvins()
	sure := c.rate >= 1.4*scale*rules.MinimumRate
	likely := c.rate >= 0.65*scale*rules.MinimumRate && reached > rules.Lowest.Kelvin()+2 && reached-before > 20
	if !sure && !likely {
		return fmt.Sprintf("rises at %.0f K/min at most, no faster than an engine warms its coolant", 60*c.rate), true
	}
	if reached < plateau-20 {
		return fmt.Sprintf("only reaches %s, while the %s later holds %s", tr.degrees(reached), tr.role, tr.degrees(plateau)), true
	}
	if late := tr.quantile(c.peak, min(n, tr.index(after+600)), 0.6); late < before+0.4*(reached-before) {
		return "falls back to where it came from", false
	}
	if coolant != nil {
		if e := coolant.mean(after-20, after+20); e < celsius(55) {
			return fmt.Sprintf("the coolant is only at %s", tr.degrees(e)), false
		}
	}
	return "", false
}

// fitRise dates the onset: a straight creep, then a departure of unknown
// softness up to the steepest point, or up to the rise's end where readings are
// so rare that the steepest point says little.
func (tr *trace) fitRise(c rise, speed []float64, rules Rules, v *verdict) {
	run := tr.runOf(c.peak)
	lo, _ := tr.aroundRise(c, run)
	p, err := tr.onsetOf(c)
	if err != nil {
		v.reason = fmt.Sprintf("the rise of the %s at %.0f s is too close to an end of the record to be dated", tr.role, tr.t[c.peak])
		return
	}
	begin, held := p.Cause(changepoint.ExponentialLead(course.Lead(tr.step, tr.role == drive.BottomTank)), course.ReadingShare*tr.step, 0.95)
	span := series.Interval{From: held.Low, To: held.High}
	creep := max(run[0], tr.index(tr.t[c.from]-150))
	if d := course.Departs(tr.t, tr.y, creep, c.from, c.peak, tr.index(p.Quantile(0.025))); d < p.Quantile(0.025)-15-tr.step {
		span.From = min(span.From, d-20)
		v.vague = true
	}
	if why := tr.tooGradual(c, p, speed, rules); why != "" {
		v.rejected = append(v.rejected, Candidate{tr.role, begin, why})
		v.reason = fmt.Sprintf("the %s %s: a slow probe, or a thermostat that leaks or is stuck open", tr.role, why)
		return
	}
	e := &Evidence{Role: tr.role, Model: Rise,
		Onset:       onset(begin, span),
		LogEvidence: p.LogEvidence, Fit: tr.curve(lo, p.Fit)}
	target := tr.quantile(c.peak, min(len(tr.t), tr.index(tr.t[c.peak]+300)), 0.8)
	base := tr.mean(begin-10, begin)
	if math.IsNaN(base) {
		base = tr.y[max(run[0], tr.index(begin)-1)]
	}
	for i := c.peak; i < run[1]; i++ {
		if tr.y[i] >= base+0.9*(target-base) {
			v.fullyOpen = tr.t[i]
			break
		}
	}
	e.Says = fmt.Sprintf("creeps to %s, then rises %s within %.0f s from %.0f s on", tr.degrees(base), tr.kelvins("%.0f", target-base), v.fullyOpen-begin, begin)
	v.outcome, v.evidence, v.firm = Opened, e, target-base > 12
	v.reason = fmt.Sprintf("the %s %s", tr.role, e.Says)
}

// firstStep returns the first of the steps by which the tank came to the rise c,
// c itself where there is none.
func (tr *trace) firstStep(steps []rise, c rise, rules Rules) rise {
	scale := 1.0
	if tr.role == drive.BottomTank {
		scale = 0.5
	}
	for _, s := range steps {
		if tr.t[c.from]-tr.t[s.from] < 900 && s.rate > 0.5*scale*rules.MinimumRate && tr.t[s.from]-tr.t[0] > 60 {
			p, err := tr.onsetOf(s)
			if err == nil && p.Quantile(0.975)-p.Quantile(0.025) < 25+tr.step && s.rate > 4*p.Before {
				return s
			}
		}
	}
	return c
}

// onsetOf is the posterior of a rise's begin.
func (tr *trace) onsetOf(c rise) (changepoint.Posterior, error) {
	lo, hi := tr.aroundRise(c, tr.runOf(c.peak))
	shapes := course.SoftStarts()
	if tr.step > 4 {
		shapes = append(shapes, course.Filling()...)
	}
	height := course.AboveCreep(tr.t, tr.y, lo, c.from, hi)
	floor := max(tr.quantum, math.Sqrt(12)*course.ShapeError(tr.step)*height) // a step of rounding has a deviation of 1/√12
	return changepoint.Onset(tr.t[lo:hi], tr.y[lo:hi], changepoint.OnsetRules{Direction: 1, Quantization: floor, Shapes: shapes})
}

// tooGradual returns why a rise is no sure opening: coolant that leaks past the
// valve, or flows through one that never shuts, warms the tank as fast as the
// engine itself warms, which is by no more than 0.4 K/s, and without a corner.
func (tr *trace) tooGradual(c rise, p changepoint.Posterior, speed []float64, rules Rules) string {
	scale := 1.0
	if tr.role == drive.BottomTank {
		scale = 0.5
	}
	width := p.Quantile(0.975) - p.Quantile(0.025)
	sharp := width < 25+tr.step
	switch {
	case c.rate < 1.1*scale*rules.MinimumRate && !(sharp && tr.y[c.from] > celsius(40) && c.rate > 5*p.Before):
		return fmt.Sprintf("rises by %s/min at most from %s on, no faster than an engine warms its coolant", tr.kelvins("%.0f", 60*c.rate), tr.degrees(tr.y[c.from]))
	case c.rate < 1.6*scale*rules.MinimumRate && tr.speedsUp(speed, tr.index(p.Quantile(0.5))) > loadStep:
		return fmt.Sprintf("rises by %s/min at most from %s on as the car goes faster", tr.kelvins("%.0f", 60*c.rate), tr.degrees(tr.y[c.from]))
	case width > 60+2*tr.step:
		return fmt.Sprintf("rises from %s on without a corner within %.0f s", tr.degrees(tr.y[c.from]), width)
	}
	return ""
}

// aroundRise returns the bins that the onset is fitted to.
func (tr *trace) aroundRise(c rise, run [2]int) (lo, hi int) {
	lo = max(run[0], min(tr.index(tr.t[c.peak]-150), c.peak-8))
	hi = min(run[1], c.peak+2)
	if tr.step > 4 {
		hi = min(run[1], c.peak+3) // the onset may lie between the last two before the peak
		for hi < run[1] && hi < c.peak+6 && tr.y[hi] > tr.y[hi-1]+0.5 {
			hi++
		}
	}
	for hi-lo < 12 && hi < run[1] {
		hi++
	}
	return lo, hi
}

func celsius(c float64) float64 { return quantity.Celsius(c).Kelvin() }
