package thermostat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/course"
)

// moving is the speed, m/s, from which a car counts as driven.
const moving = 2.0

// plateau is a level that coolant keeps while the car is driven.
type plateau struct {
	found  bool
	level  float64 // K
	from   int     // first bin at the level
	driven float64 // s of driving at the level
}

// plateau looks for a level that is kept over PlateauTime of driving at
// PlateauSpeed and more. An engine whose thermostat is shut goes on warming
// its coolant under such a load; one whose coolant passes the radiator from the
// start settles where the two balance. Stops don't count: at rest little heat
// comes in, and after switch-off metal warms what stands still. Without a speed
// there is no telling, and none is found.
func (tr *trace) plateau(speed []float64, rules Rules) plateau {
	n := len(tr.t)
	if speed == nil {
		return plateau{}
	}
	var at []int
	for i := range n {
		if speed[i] > moving {
			at = append(at, i)
		}
	}
	driven := float64(len(at)) * tr.step
	if driven < 1.5*rules.PlateauTime {
		return plateau{}
	}
	late := at[len(at)/2:]
	p := plateau{level: tr.medianAt(late)}
	first := 0
	for first < len(at) && tr.y[at[first]] < p.level-5 {
		first++
	}
	kept := at[first:]
	p.from, p.driven = kept[0], float64(len(kept))*tr.step
	if p.driven < rules.PlateauTime || tr.y[at[0]] > p.level-12 {
		return plateau{}
	}
	mean := 0.0
	for _, i := range kept {
		mean += speed[i] / float64(len(kept))
	}
	half := len(kept) / 2
	trend := tr.medianAt(kept[half:]) - tr.medianAt(kept[:half])
	p.found = mean >= rules.PlateauSpeed.MetresPerSecond() && trend < 4 && !course.CornersAt(tr.t, tr.y, p.level)
	return p
}

// fallsCold returns the bin at which coolant has fallen by fallen or more from
// what it had reached, to below what any thermostat regulates to, while the car
// was driven; -1 if it never does. Behind a shut thermostat an engine that runs
// loses no such heat, and an open one shuts before it is so cold.
func (tr *trace) fallsCold(speed []float64, rules Rules) int {
	return tr.falls(speed, rules.Lowest.Kelvin()-3, 8, rules)
}

// falls returns the bin at which a channel has fallen by fallen and more to
// below a temperature while the car was driven; -1 if it never does.
func (tr *trace) falls(speed []float64, below, fallen float64, rules Rules) int {
	if speed == nil {
		return -1
	}
	parked := tr.parked(speed)
	peak := math.Inf(-1)
	for i, y := range tr.y {
		if parked[i] || i > 0 && tr.t[i]-tr.t[i-1] > rules.MaximumGap+3*tr.step {
			peak = math.Inf(-1)
			continue
		}
		if peak = max(peak, y); peak-y > fallen+tr.quantum && y < below && tr.t[i]-tr.t[0] > 120 {
			return i
		}
	}
	return -1
}

// medianAt is the median of some bins.
func (tr *trace) medianAt(bins []int) float64 {
	in := trace{y: make([]float64, len(bins))}
	for k, i := range bins {
		in.y[k] = tr.y[i]
	}
	return in.quantile(0, len(bins), 0.5)
}

// creeps reports whether a tank's way to its top is slow throughout: by 10 K
// within RiseTime at most nowhere.
func (tr *trace) creeps(top float64) bool {
	n := len(tr.t)
	for i := range n {
		if j := tr.index(tr.t[i] + 60); j < n && tr.y[j]-tr.y[i] > 8 {
			return false
		}
	}
	return !math.IsNaN(top)
}
