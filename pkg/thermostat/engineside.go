package thermostat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/warming"
)

// On the engine side the coolant climbs until the thermostat opens, often
// overshoots while cold coolant comes round, and is then regulated.

// hottestStart is what no thermostat is still shut above, °C: stamps go up to 92,
// and a start lies within 2 K of its stamp (workshop limits).
const hottestStart = 94.0

// level is the temperature that the coolant holds.
type level struct {
	value   float64
	reached int // first bin within 1.5 K below it
	held    float64
}

// judgeEngine judges a channel on the engine side. speed may be nil; it has
// one value for each bin.
func judgeEngine(tr *trace, speed []float64, rules Rules) verdict {
	v := verdict{fullyOpen: math.NaN()}
	if len(tr.t) < 30 {
		v.reason = "too few readings"
		return v
	}
	tr, speed = tr.untilParked(speed)
	tr.judgeCourse(speed, rules, &v)
	if lv, found := tr.level(speed, rules); !found || !tr.holdsTight(lv) {
		v.drained(tr, speed, rules)
	} else if v.outcome == NotDecidable {
		v.held = tr.heldFrom(lv)
	}
	return v
}

// heldFrom is when a level that is held tightly was reached for good: the coolant then
// has been near it for a minute.
func (tr *trace) heldFrom(lv level) Held {
	near := func(i int) bool { return math.Abs(tr.y[i]-lv.value) <= 3+tr.quantum }
	from := lv.reached
	for i := from; i < len(tr.y); i++ {
		if !near(i) {
			from = i + 1
		} else if tr.t[i]-tr.t[from] >= 60 {
			return Held{From: tr.t[i], Level: quantity.Kelvin(lv.value)}
		}
	}
	return Held{}
}

// judgeCourse judges the coolant's course: climb, bend, regulation.
func (tr *trace) judgeCourse(speed []float64, rules Rules, v *verdict) {
	n := len(tr.t)
	start := tr.quantile(0, max(1, tr.index(tr.t[0]+10)), 0.5)
	highest := tr.quantile(0, n, 0.995)
	if p := tr.plateau(speed, rules); p.found && p.level < rules.Lowest.Kelvin() {
		v.outcome, v.firm = StuckOpen, true
		v.reason = fmt.Sprintf("the coolant settles at %s and stays there for %.0f s of driving: something cools it that a closed thermostat would keep out", tr.degrees(p.level), p.driven)
		return
	}
	if i := tr.fallsCold(speed, rules); i >= 0 && start < rules.Lowest.Kelvin()-10 {
		v.outcome, v.firm = StuckOpen, true
		v.reason = fmt.Sprintf("the coolant falls to %s at %.0f s while the car is driven: it follows the load, and nothing keeps it from the radiator", tr.degrees(tr.y[i]), tr.t[i])
		return
	}
	lv, found := tr.level(speed, rules)
	if !found {
		tr.judgeCool(speed, start, highest, rules, v)
		return
	}
	band := rules.Band.Kelvins()
	if start >= lv.value-4 || tr.t[lv.reached] < tr.t[0]+5 {
		tr.judgeWarmBegin(lv, start, highest, v)
		return
	}
	run := tr.runOf(lv.reached)
	if gap, ok := tr.gapBefore(lv.reached); ok && tr.y[run[0]] >= lv.value-band && !(tr.overshoots(lv, run) && tr.firstOvershoot(lv) >= 0) {
		v.rejected = append(v.rejected, Candidate{tr.role, gap.To, "lies across a gap"})
		v.reason = fmt.Sprintf("the coolant reached its level within a gap of %.0f s (%.0f to %.0f s)", gap.Duration(), gap.From, gap.To)
		return
	}
	tr.listShelves(lv, v)
	if why := tr.doubtLevel(lv, speed, rules); why != "" {
		v.rejected = append(v.rejected, Candidate{tr.role, tr.t[lv.reached], why})
		v.outcome = NotReached
		v.reason = fmt.Sprintf("the coolant ends at %s; its level of %s is no proof of regulation: %s", tr.degrees(tr.y[n-1]), tr.degrees(lv.value), why)
		if highest > celsius(80) || tr.drivenFast(speed, rules) > 2*rules.PlateauTime || tr.laysBack(start, highest, speed, rules) {
			v.outcome = NotDecidable
		}
		return
	}
	tr.fitBend(lv, run, speed, rules, v)
}

// judgeWarmBegin judges a record whose first reading is at the level, or near it.
func (tr *trace) judgeWarmBegin(lv level, start, highest float64, v *verdict) {
	if rise := tr.quantile(0, max(2, tr.index(tr.t[0]+120)), 1) - start; rise > 2.5+tr.quantum {
		v.reason = fmt.Sprintf("the record begins at %s, %s below what the coolant climbs to in its first two minutes: the opening lies shortly before or after its begin", tr.degrees(start), tr.kelvins("%.0f", rise))
		return
	}
	if i := tr.firstOvershoot(lv); i >= 0 && tr.y[i]-start > 2.5+tr.quantum {
		v.reason = fmt.Sprintf("the record begins at %s, and the coolant climbs to %s at %.0f s before it holds %s: it may have opened then, or before the record begins", tr.degrees(start), tr.degrees(tr.y[i]), tr.t[i], tr.degrees(lv.value))
		return
	}
	if length := tr.t[len(tr.t)-1] - tr.t[0]; start < celsius(hottestStart) && (length < enoughAfter || length < 2*enoughAfter && highest > lv.value+4+tr.quantum) {
		v.reason = fmt.Sprintf("the coolant is at %s from the first reading, but the record lasts %.0f s only: an engine that is still warming up holds it for so long, too", tr.degrees(start), length)
		return
	}
	v.outcome, v.firm = AlreadyOpen, true
	v.reason = fmt.Sprintf("the coolant is at %s from the first reading and holds %s", tr.degrees(start), tr.degrees(lv.value))
}

// level finds the temperature that is held longest, where that is warm enough
// for a thermostat.
func (tr *trace) level(speed []float64, rules Rules) (level, bool) {
	const width = 4.0
	n := len(tr.y)
	counts := map[int]int{}
	parked := tr.parked(speed)
	for i, y := range tr.y {
		if !parked[i] {
			counts[int(math.Floor(y*2))]++
		}
	}
	best, at := 0, 0
	for k := range counts {
		sum := 0
		for j := range int(width * 2) {
			sum += counts[k+j]
		}
		if lo := float64(k) / 2; lo+width/2 >= rules.Lowest.Kelvin() && (sum > best || sum == best && k < at) {
			best, at = sum, k
		}
	}
	held := float64(best) * tr.step
	if held < 40 {
		return level{}, false
	}
	// A shelf held for a few minutes gives way to a hotter level that is held
	// at the end.
	if last := tr.quantile(max(0, tr.index(tr.t[n-1]-60)), n, 0.5); held < 300 && last > float64(at)/2+width+2 {
		lo, hi := tr.quantile(max(0, tr.index(tr.t[n-1]-60)), n, 0.05), tr.quantile(max(0, tr.index(tr.t[n-1]-60)), n, 0.95)
		if hi-lo <= 2 {
			at = int((last - width/2) * 2)
		}
	}
	var in trace
	for _, y := range tr.y {
		if y >= float64(at)/2 && y < float64(at)/2+width {
			in.y = append(in.y, y)
		}
	}
	lv := level{value: in.quantile(0, len(in.y), 0.5), held: held}
	for i := range n {
		if tr.y[i] >= lv.value-1.5 {
			lv.reached = i
			return lv, true
		}
	}
	return lv, false
}

// overshoots reports whether the coolant, after reaching its level, goes 2 K
// beyond and comes back: the thermostat opened then.
func (tr *trace) overshoots(lv level, run [2]int) bool {
	peak := lv.reached
	for i := lv.reached; i < run[1] && tr.t[i] < tr.t[lv.reached]+240; i++ {
		if tr.y[i] > tr.y[peak] {
			peak = i
		}
	}
	return tr.y[peak] >= lv.value+2 && tr.quantile(peak, min(run[1], tr.index(tr.t[peak]+180)), 0.3) <= tr.y[peak]-2
}

// firstOvershoot returns the bin of the first peak of 2 K and more above the level,
// where it stands out by a kelvin and a step of the display from all that comes two
// minutes later and more; -1 without one. A valve that hunts comes as high again and
// again.
func (tr *trace) firstOvershoot(lv level) int {
	over := slices.IndexFunc(tr.y[lv.reached:], func(y float64) bool { return y >= lv.value+2 })
	if over < 0 {
		return -1
	}
	peak := lv.reached + over
	for i := peak; i < len(tr.y) && tr.y[i] > tr.y[peak]-2; i++ {
		if tr.y[i] > tr.y[peak] {
			peak = i
		}
	}
	if later := tr.index(tr.t[peak] + 120); later < len(tr.y) && tr.quantile(later, len(tr.y), 0.98) <= tr.y[peak]-1-tr.quantum {
		return peak
	}
	return -1
}

// doubtLevel returns why the level may not be regulation, empty if it is.
func (tr *trace) doubtLevel(lv level, speed []float64, rules Rules) string {
	n := len(tr.y)
	below, above, all := 0, 0, n-lv.reached
	climb := 12.0 // what a heavy load may add
	if speed == nil {
		climb = 6
	}
	for _, y := range tr.y[lv.reached:] {
		if y < lv.value-rules.Band.Kelvins() {
			below++
		}
		if y > lv.value+climb {
			above++
		}
	}
	if float64(below) > 0.25*float64(all) {
		return "the coolant falls below it for long"
	}
	if float64(above) > 0.3*float64(all) {
		return "the coolant climbs on past it"
	}
	held := tr.t[n-1] - tr.t[lv.reached]
	if tr.overshoots(lv, tr.runOf(lv.reached)) && held > rules.RegulationTime {
		return ""
	}
	if tr.holdsTight(lv) {
		return ""
	}
	if lv.reached < 10 {
		return "too little of the warm-up is recorded"
	}
	if speed == nil && held < 300 {
		return fmt.Sprintf("it is held for %.0f s only, and without a speed channel a light load can do that", held)
	}
	w, ok := tr.warming(speed, lv.reached)
	if !ok {
		if held > 4*rules.RegulationTime {
			return ""
		}
		return "it is held too briefly"
	}
	deficit := 0.0
	for i := lv.reached + 1; i < n; i++ {
		dt := tr.t[i] - tr.t[i-1]
		if dt > 3*tr.step {
			continue
		}
		v := math.NaN()
		if speed != nil {
			v = speed[i]
		}
		deficit += w.Rate(v, tr.y[i]) * dt
	}
	deficit -= tr.y[n-1] - lv.value
	if held < rules.RegulationTime {
		return fmt.Sprintf("it is held for %.0f s only", held)
	}
	if deficit < rules.MinimumDeficit.Kelvins() {
		return fmt.Sprintf("under this load the coolant would have gained only %s more with the thermostat closed", tr.kelvins("%.0f", max(0, deficit)))
	}
	return ""
}

// judgeCool judges a drive whose coolant holds no level that a thermostat
// regulates to.
func (tr *trace) judgeCool(speed []float64, start, highest float64, rules Rules, v *verdict) {
	n := len(tr.t)
	v.outcome = NotReached
	v.reason = fmt.Sprintf("the coolant only reaches %s and holds no level that a thermostat regulates to", tr.degrees(highest))
	if driven := tr.drivenFast(speed, rules); driven > 2*rules.PlateauTime {
		v.outcome = NotDecidable
		v.reason = fmt.Sprintf("the coolant only reaches %s in %.0f s of driving, more than a warm-up takes: a thermostat that is stuck open, or a light load", tr.degrees(highest), driven)
		return
	}
	if tr.laysBack(start, highest, speed, rules) {
		v.outcome = NotDecidable
		v.reason = fmt.Sprintf("the coolant only reaches %s in %.0f s of driving, or falls on the way: a thermostat that is stuck open, or a light load", tr.degrees(highest), tr.drivenBelow(speed, rules.Lowest.Kelvin()))
		return
	}
	from := tr.index(tr.t[n-1] - 480)
	if from == 0 || highest-start < 10 && highest > celsius(50) || speed != nil {
		return
	}
	swing := tr.quantile(from, n, 0.95) - tr.quantile(from, n, 0.05)
	trend := math.Abs(tr.mean(tr.t[n-1]-240, tr.t[n-1]+1) - tr.mean(tr.t[from], tr.t[n-1]-240))
	if swing > 12 || trend > 4 || highest > rules.Lowest.Kelvin()+4 {
		return
	}
	v.outcome = NotDecidable
	v.reason = fmt.Sprintf("the coolant stays at %s: a thermostat that is stuck open, or too little load; without a speed channel the two look alike", tr.degrees(highest))
}

// leastWarming is the least rate, K/s, at which an engine in traffic warms
// coolant that passes no radiator: 5 kW of heat less what the block and a heater
// take, into 80 kJ/K (common practice, no source).
const leastWarming = 0.06

// laysBack reports whether coolant below any thermostat, driven for longer than
// most warm-ups, warmed more slowly than an engine with a shut thermostat does,
// or fell on the way. That decides nothing, but neither is the valve known to be
// shut.
func (tr *trace) laysBack(start, highest float64, speed []float64, rules Rules) bool {
	driven := tr.drivenBelow(speed, rules.Lowest.Kelvin())
	return driven > leastDriven && (highest-start < leastWarming*driven || tr.falls(speed, rules.Lowest.Kelvin(), 1.5, rules) >= 0)
}

// warming is the law of the warm-up before bin n.
func (tr *trace) warming(speed []float64, n int) (warming.Law, bool) {
	if speed != nil {
		speed = speed[:n]
	}
	return warming.Fit(tr.t[:n], tr.y[:n], speed, tr.step)
}

// drivenFast is for how long the car was driven at PlateauSpeed and more, s.
func (tr *trace) drivenFast(speed []float64, rules Rules) float64 {
	driven := 0.0
	for _, v := range speed {
		if v > rules.PlateauSpeed.MetresPerSecond() {
			driven += tr.step
		}
	}
	return driven
}

// listShelves records pauses in the climb: flat for 30 s and more, then on.
func (tr *trace) listShelves(lv level, v *verdict) {
	s := tr.smooth(10)
	w := max(2, int(30/tr.step))
	for _, r := range tr.runs {
		for i := r[0]; i+w < min(r[1], lv.reached); i++ {
			if s[i] < celsius(45) || s[i+w]-s[i] > 0.6 {
				continue
			}
			j := i + w
			for j+1 < min(r[1], lv.reached) && s[j+1]-s[i] <= 0.8 {
				j++
			}
			v.rejected = append(v.rejected, Candidate{tr.role, tr.t[i],
				fmt.Sprintf("a shelf at %s for %.0f s, after which the coolant climbs on", tr.degrees(s[i]), tr.t[j]-tr.t[i])})
			i = j
		}
	}
}
