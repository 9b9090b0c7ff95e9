package thermostat

import "math"

// longStop is from when on a stop says more of the metal around the coolant
// than of the thermostat, s: a pump that stands or turns slowly leaves the heat
// where it is.
const longStop = 90.0

// soakMost is more than what metal gives to coolant that stands: 5 to 15 K
// (common practice, no source). Beyond it the engine runs.
const soakMost = 18.0

// parked says for each bin whether the car stands in a stop of longStop and
// more in which the engine may be off; never, where the speed is not known.
func (tr *trace) parked(speed []float64) []bool {
	still := make([]bool, len(tr.t))
	if speed == nil {
		return still
	}
	for i := 0; i < len(still); {
		j := i
		for j < len(still) && speed[j] < 1 {
			j++
		}
		if j > i && tr.t[j-1]-tr.t[i] >= longStop && tr.quantile(i, j, 1)-tr.y[i] < soakMost {
			for k := i; k < j; k++ {
				still[k] = true
			}
		}
		i = max(j, i+1)
	}
	return still
}

// untilParked cuts off the stop at the record's end, where metal warms coolant
// that stands still: what it shows is no thermostat.
func (tr *trace) untilParked(speed []float64) (*trace, []float64) {
	if speed == nil {
		return tr, nil
	}
	n := len(tr.t)
	for n > 0 && speed[n-1] < 1 {
		n--
	}
	if n < 30 || n == len(tr.t) || tr.t[len(tr.t)-1]-tr.t[n] < longStop {
		return tr, speed
	}
	out := *tr
	out.t, out.y, out.runs = tr.t[:n], tr.y[:n], nil
	for _, r := range tr.runs {
		if r[0] < n {
			out.runs = append(out.runs, [2]int{r[0], min(r[1], n)})
		}
	}
	return &out, speed[:n]
}

// speedsUp is by how much the mean speed over the time after a bin is above
// that before it, m/s; 0 where the speed is not known.
func (tr *trace) speedsUp(speed []float64, at int) float64 {
	if speed == nil {
		return 0
	}
	w := max(2, int(40/tr.step))
	up := meanOf(speed, at, min(len(speed), at+w)) - meanOf(speed, max(0, at-w), at)
	if math.IsNaN(up) {
		return 0
	}
	return up
}

func meanOf(x []float64, a, b int) float64 {
	if x == nil || a >= b {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range x[a:b] {
		sum += v
	}
	return sum / float64(b-a)
}
