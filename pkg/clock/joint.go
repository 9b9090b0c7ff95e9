package clock

import (
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// witness is what one temperature says about the offset.
type witness struct {
	*evidence
	start  time.Time // of the temperature's recording
	weight []float64 // log-likelihood at each offset, its models averaged
	rest   sampled   // whitened residuals at its own best offset
}

func newWitness(e *evidence, start time.Time) *witness {
	w := &witness{evidence: e, start: start, weight: e.average()}
	best := highest(w.weight)
	if best >= 0 && e.best != nil {
		y := e.best.yGrid
		w.rest = sampled{y.t0, y.dt, e.best.residuals(-e.offset[best]-e.between, e.noise)}
	}
	return w
}

// together returns the log-likelihood of all temperatures over the union of
// their offsets, against no relation at all. Each of them answers to motion or
// does not, which is as likely beforehand. Were their noise independent the
// logarithms would add up; air that moves past one probe moves past the next,
// so the sum is divided by the design effect 1 + (m−1)ρ of m values with the
// correlation ρ (Kish, Survey Sampling, 1965, sec. 5.4). With ρ = 1 many are
// worth one.
func together(all []*witness) (offset, logL []float64) {
	for _, w := range all {
		offset = append(offset, w.offset...)
	}
	slices.Sort(offset)
	offset = slices.CompactFunc(offset, func(a, b float64) bool { return math.Abs(b-a) < 1e-6 })
	logL = make([]float64, len(offset))
	seen := make([]bool, len(offset))
	for _, w := range all {
		s := series.Series{Time: w.offset, Value: w.weight}
		for i, g := range s.Resample(offset, 2*motionStep).Value {
			if math.IsNaN(g) { // not worth a closer look there
				g = math.Inf(-1)
			} else {
				seen[i] = true
			}
			logL[i] += regression.LogMeanExp([]float64{g, 0})
		}
	}
	effect := designEffect(all)
	for i := range logL {
		logL[i] /= effect
		if !seen[i] {
			logL[i] = math.NaN()
		}
	}
	return offset, logL
}

// designEffect is 1 + (m−1)ρ with the mean correlation of the pairs.
func designEffect(all []*witness) float64 {
	sum, pairs := 0.0, 0.0
	for i, a := range all {
		for _, b := range all[:i] {
			sum += a.shared(b)
			pairs++
		}
	}
	if pairs == 0 {
		return 1
	}
	return 1 + float64(len(all)-1)*sum/pairs
}

// sharedTime in seconds is over what time residuals are summed before they are
// compared: two probes see one gust some seconds apart.
const sharedTime = 20.0

// shared returns the correlation, from 0 to 1, of what the models leave
// unexplained in two temperatures; 1 where their grids cannot be compared.
func (w *witness) shared(o *witness) float64 {
	if w.rest.dt == 0 || w.rest.dt != o.rest.dt {
		return 1
	}
	shift := (w.start.Sub(o.start).Seconds() + w.rest.t0 - o.rest.t0) / w.rest.dt
	k := int(math.Round(shift))
	var a, b []float64
	n := max(1, int(sharedTime/w.rest.dt))
	for i := 0; i+n <= len(w.rest.v); i += n {
		if j := i + k; j >= 0 && j+n <= len(o.rest.v) {
			x, y := sumOf(w.rest.v[i:i+n]), sumOf(o.rest.v[j:j+n])
			if !math.IsNaN(x + y) {
				a, b = append(a, x), append(b, y)
			}
		}
	}
	return math.Max(0, correlation(a, b))
}

func sumOf(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// correlation is 1, the cautious answer, where there is too little to tell.
func correlation(a, b []float64) float64 {
	if len(a) < 10 {
		return 1
	}
	var ma, mb, saa, sbb, sab float64
	for i := range a {
		ma, mb = ma+a[i]/float64(len(a)), mb+b[i]/float64(len(a))
	}
	for i := range a {
		saa += (a[i] - ma) * (a[i] - ma)
		sbb += (b[i] - mb) * (b[i] - mb)
		sab += (a[i] - ma) * (b[i] - mb)
	}
	if !(saa*sbb > 0) {
		return 1
	}
	return sab / math.Sqrt(saa*sbb)
}
