package thermostat

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/bins"
)

// trace is a channel as the search sees it: present values, averaged over
// bins of about a reading each, with the gaps known.
type trace struct {
	role drive.Role
	t, y []float64
	step float64 // s, between bins
	// quantum is the step of the display in K, 0 if finer than the noise.
	quantum float64
	runs    [][2]int // half-open index ranges without a long gap
	of      *drive.Drive
	units   quantity.Preferred
}

// longest is the number of bins that the search works on at most: an hour and
// more of 2 s readings in full, longer records in coarser bins.
const longest = 6000

// newTrace averages a channel into even bins; each bin has the mean time and
// mean value of what it holds.
func newTrace(role drive.Role, s *series.Series, gap float64) trace {
	tr := trace{role: role, step: math.NaN()}
	span := s.Interval()
	native := s.Step()
	if span.IsEmpty() || math.IsNaN(native) {
		return tr
	}
	tr.step = max(1, native, span.Duration()/longest)
	most := min(len(s.Value), int(span.Duration()/tr.step)+2)
	tr.t, tr.y = make([]float64, 0, most), make([]float64, 0, most)
	bin, n, sumT, sumY := -1, 0.0, 0.0, 0.0
	flush := func() {
		if n > 0 {
			tr.t = append(tr.t, sumT/n)
			tr.y = append(tr.y, sumY/n)
		}
		n, sumT, sumY = 0, 0, 0
	}
	for i, v := range s.Value {
		if math.IsNaN(v) {
			continue
		}
		if b := int((s.Time[i] - span.From) / tr.step); b != bin {
			flush()
			bin = b
		}
		n++
		sumT += s.Time[i]
		sumY += v
	}
	flush()
	tr.quantum = bins.Quantum(s.Value)
	from := 0
	for i := 1; i <= len(tr.t); i++ {
		if i == len(tr.t) || tr.t[i]-tr.t[i-1] > max(gap, 3*tr.step) {
			tr.runs = append(tr.runs, [2]int{from, i})
			from = i
		}
	}
	return tr
}

// index returns the first bin at or after time x.
func (tr *trace) index(x float64) int {
	i, _ := slices.BinarySearch(tr.t, x)
	return i
}

// mean returns the mean over [a, b) seconds, NaN if empty.
func (tr *trace) mean(a, b float64) float64 {
	lo, hi := tr.index(a), tr.index(b)
	if lo >= hi {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range tr.y[lo:hi] {
		sum += v
	}
	return sum / float64(hi-lo)
}

// quantile returns the q-quantile over bins [lo, hi), NaN if empty.
func (tr *trace) quantile(lo, hi int, q float64) float64 {
	if lo >= hi {
		return math.NaN()
	}
	x := slices.Clone(tr.y[lo:hi])
	slices.Sort(x)
	return x[min(len(x)-1, int(q*float64(len(x))))]
}

// smooth returns the running mean over about width seconds within runs.
func (tr *trace) smooth(width float64) []float64 {
	half := int(width / 2 / tr.step)
	out := make([]float64, len(tr.y))
	for _, r := range tr.runs {
		sum, a, b := 0.0, r[0], r[0]
		for i := r[0]; i < r[1]; i++ {
			for b < r[1] && b <= i+half {
				sum += tr.y[b]
				b++
			}
			for a < i-half {
				sum -= tr.y[a]
				a++
			}
			out[i] = sum / float64(b-a)
		}
	}
	return out
}

// runOf returns the run that holds bin i.
func (tr *trace) runOf(i int) [2]int {
	for _, r := range tr.runs {
		if i < r[1] {
			return r
		}
	}
	return tr.runs[len(tr.runs)-1]
}

// gapBefore reports the gap that ends at bin i, if one does.
func (tr *trace) gapBefore(i int) (series.Interval, bool) {
	r := tr.runOf(i)
	if r[0] == 0 {
		return series.Interval{}, false
	}
	return series.Interval{From: tr.t[r[0]-1], To: tr.t[r[0]]}, true
}

// curve returns fitted values as a series for a chart.
func (tr *trace) curve(lo int, fit []float64) *series.Series {
	return &series.Series{Name: "fit to " + string(tr.role), Dimension: series.Temperature,
		Time: slices.Clone(tr.t[lo : lo+len(fit)]), Value: slices.Clone(fit)}
}

// degrees, kelvins and speed write numbers of the trace for its owner: a
// temperature in K, a difference in K, a speed in m/s.
func (tr *trace) degrees(kelvin float64) string {
	return tr.units.Say(quantity.KindTemperature, "%.0f", kelvin)
}

func (tr *trace) kelvins(verb string, difference float64) string {
	return tr.units.Say(quantity.KindTemperatureDifference, verb, difference)
}

func (tr *trace) speed(metresPerSecond float64) string {
	return tr.units.Say(quantity.KindSpeed, "%.1f", metresPerSecond)
}
