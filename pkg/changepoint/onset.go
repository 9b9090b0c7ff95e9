package changepoint

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// OnsetRules say how the search for an onset works. Start from
// [DefaultOnsetRules].
type OnsetRules struct {
	// Shapes are the courses that the departure may take; all are tried and
	// weighed by their fit. None means those of the default.
	Shapes []Shape
	// Direction is +1 for departures upward, −1 downward, 0 for both.
	Direction float64
	// From and To bound t₀; zero values mean the whole window.
	From, To float64
	// Covariates are further columns, each as long as the data, that explain
	// part of it; their coefficients are fitted along.
	Covariates [][]float64
	// Quantization is the step of rounded data (0: not rounded): noise is
	// never taken for less than step/√12, the scatter of rounding.
	Quantization float64
}

// DefaultOnsetRules returns the rules for a departure of unknown direction and
// softness (powers of 1, 1.5, 2 and 3) anywhere in the window.
func DefaultOnsetRules() OnsetRules {
	return OnsetRules{Shapes: []Shape{Power(1), Power(1.5), Power(2), Power(3)}}
}

// Shape is the course of a departure after its onset: its value as a function
// of the time since then, 0 at 0, up to a factor that is fitted.
type Shape func(since float64) float64

// Power returns since^power: 1 is a kink, 2 and 3 are ever softer.
func Power(power float64) Shape {
	return func(since float64) float64 { return math.Pow(since, power) }
}

// LaggedRamp returns a ramp seen through order first-order lags of time
// constant tau in a row: it starts like since^(1+order), however long tau is,
// and becomes straight. order is 1 or 2.
func LaggedRamp(tau float64, order int) Shape {
	return func(since float64) float64 {
		x := since / tau
		if order == 1 {
			if x < 1e-3 {
				return x * x / 2
			}
			return x + math.Expm1(-x)
		}
		if x < 1e-2 {
			return x * x * x / 6
		}
		return x - 2 + (2+x)*math.Exp(-x)
	}
}

// Relaxation returns 1 − exp(−since/tau): a step seen through a lag.
func Relaxation(tau float64) Shape {
	return func(since float64) float64 { return -math.Expm1(-since / tau) }
}

// Posterior is what the data say about the instant t₀ of an onset.
type Posterior struct {
	Time   []float64 // candidate instants, ascending
	Weight []float64 // their probabilities, sum 1
	Best   float64   // the most probable instant with its best shape
	Shape  int       // the number of that shape
	// Amplitude is the departure at the end of the window.
	Amplitude float64
	// Before is the fitted slope before the onset.
	Before float64
	Fit    []float64 // fitted curve, one value for each sample
	Noise  Noise
	// LogEvidence is half the BIC difference to no onset; above 5 is strong.
	LogEvidence float64
}

// Quantile returns the q-quantile of the onset. Each candidate stands for the
// time up to half way to its neighbours, and its probability is spread evenly
// over that; the first and the last stand for the half inside alone.
func (p Posterior) Quantile(q float64) float64 {
	sum, last := 0.0, len(p.Time)-1
	for i, w := range p.Weight {
		if w == 0 || sum+w < q && i < last {
			sum += w
			continue
		}
		from, to := p.Time[i], p.Time[i]
		if i > 0 {
			from = (p.Time[i-1] + p.Time[i]) / 2
		}
		if i < last {
			to = (p.Time[i] + p.Time[i+1]) / 2
		}
		return from + min((q-sum)/w, 1)*(to-from)
	}
	return p.Time[last]
}

// Estimate returns the onset as an estimate: the median with the interval
// between the quantiles that leave equal parts outside. unit is that of the
// abscissae, which are in SI.
func (p Posterior) Estimate(name string, unit quantity.Unit, level float64) estimate.Estimate {
	v := estimate.Interval{Low: p.Quantile((1 - level) / 2), High: p.Quantile((1 + level) / 2), Level: level}
	return estimate.Between(name, p.Quantile(0.5), unit, v, estimate.Likelihood, math.NaN())
}

// Mode returns the most probable instant, all shapes together.
func (p Posterior) Mode() float64 {
	best := 0
	for i, w := range p.Weight {
		if w > p.Weight[best] {
			best = i
		}
	}
	return p.Time[best]
}

// onsetBias is what the fit of an onset takes off the residuals' correlation
// times their number, about 1 for each coefficient and the instant; onsetMost
// bounds the correlation.
const (
	onsetBias = 4
	onsetMost = 0.98
)

// Onset returns the posterior of the instant t₀ at which y leaves the line
// a + b·t for a + b·t + c·shape(t−t₀), with AR(1) noise. The prior of t₀ and
// of the shapes is flat; coefficients and variance are taken at their
// likelihood's maximum. t is strictly ascending; candidates for t₀ are the
// samples and, up to 120 of them, three instants between neighbours.
//
// The noise's φ comes from the residuals of a first fit without correlation;
// a poor shape shows up there and widens the posterior, as it should.
//
// The error wraps ErrInput where there are fewer than 8 samples, t does not
// ascend, a value is missing, no candidate lies between From and To, or a
// covariate is of another length or there are too many.
func Onset(t, y []float64, rules OnsetRules) (Posterior, error) {
	n := len(y)
	if err := check(y, 8, 1); err != nil {
		return Posterior{}, err
	}
	if err := ascending(t, n); err != nil {
		return Posterior{}, err
	}
	if len(rules.Shapes) == 0 {
		rules.Shapes = DefaultOnsetRules().Shapes
	}
	if most := n - 5; len(rules.Covariates) > most {
		return Posterior{}, fmt.Errorf("changepoint: %d covariates for %d samples: %w: at most %d", len(rules.Covariates), n, ErrInput, most)
	}
	for _, c := range rules.Covariates {
		if len(c) != n {
			return Posterior{}, fmt.Errorf("changepoint: covariate of %d values for %d samples: %w", len(c), n, ErrInput)
		}
		if err := check(c, 1, 1); err != nil {
			return Posterior{}, fmt.Errorf("covariate: %w", err)
		}
	}
	g := onsetSearch{t: t, y: y, rules: rules}
	g.candidates()
	if len(g.times) == 0 {
		return Posterior{}, fmt.Errorf("changepoint: no sample between %v and %v for an onset: %w", rules.From, rules.To, ErrInput)
	}
	g.tabulate()
	p := g.run(0)
	r := make([]float64, n)
	for range 2 {
		for i := range r {
			r[i] = y[i] - p.Fit[i]
		}
		p = g.run(regression.ResidualCorrelation(r, onsetBias, onsetMost))
	}
	return p, nil
}

type onsetSearch struct {
	t, y   []float64
	rules  OnsetRules
	times  []float64
	tables []table // of the shapes
}

// A table holds a shape at even steps: thousands of candidates ask for the same
// values, and between neighbours a shape is as good as straight.
type table struct {
	step   float64
	values []float64
}

// tableSteps is how many steps of a table lie between two samples, on average.
const tableSteps = 32

func (g *onsetSearch) tabulate() {
	n := len(g.t)
	span := g.t[n-1] - g.t[0]
	for _, shape := range g.rules.Shapes {
		b := table{step: span / float64(tableSteps*(n-1)), values: make([]float64, tableSteps*(n-1)+2)}
		for i := range b.values {
			b.values[i] = shape(float64(i) * b.step)
		}
		g.tables = append(g.tables, b)
	}
}

func (b table) at(since float64) float64 {
	x := since / b.step
	i := int(x)
	return b.values[i] + (x-float64(i))*(b.values[i+1]-b.values[i])
}

// finely is the number of samples up to which instants between them are tried.
const finely = 120

func (g *onsetSearch) candidates() {
	n := len(g.t)
	from, to := g.rules.From, g.rules.To
	if from == 0 && to == 0 {
		from, to = g.t[0], g.t[n-1]
	}
	parts := 4
	if n > finely {
		parts = 1
	}
	for i := 2; i < n-3; i++ {
		for q := range parts {
			x := g.t[i] + float64(q)/float64(parts)*(g.t[i+1]-g.t[i])
			if x >= from && x <= to {
				g.times = append(g.times, x)
			}
		}
	}
}

// columns explain y without an onset; h, if any, is the departure.
func (g *onsetSearch) columns(h []float64) [][]float64 {
	since := make([]float64, len(g.t))
	for i, t := range g.t {
		since[i] = t - g.t[0]
	}
	columns := append([][]float64{regression.Ones(len(g.y)), since}, g.rules.Covariates...)
	if h != nil {
		columns = append(columns, h)
	}
	return columns
}

// run weighs all candidates for noise of the given φ.
func (g *onsetSearch) run(phi float64) Posterior {
	n := float64(len(g.y))
	base := regression.NewBase(g.y, g.columns(nil), phi)
	k := float64(base.Rank)
	floor := n * square(g.rules.Quantization) / 12 * (1 - phi*phi)
	h := make([]float64, len(g.y))
	p := Posterior{Time: g.times, Weight: make([]float64, len(g.times))}
	logs := make([]float64, len(g.times))
	shapes := make([]float64, len(g.rules.Shapes))
	best, from := math.Inf(1), 0
	for i, t0 := range g.times { // they ascend
		from = g.after(t0, from)
		for number := range g.rules.Shapes {
			shapes[number] = math.Inf(-1)
			g.departure(h[from:], t0, number, from)
			with := base.With(h, from)
			if with.Left < 1e-9 || with.Coefficient*g.rules.Direction < 0 {
				continue
			}
			rss := with.RSS + floor
			shapes[number] = -(n - k - 1) / 2 * math.Log(rss)
			if rss < best {
				best, p.Best, p.Shape, p.Amplitude = rss, t0, number, with.Coefficient
			}
		}
		logs[i] = regression.LogMeanExp(shapes)
	}
	if math.IsInf(best, 1) { // no candidate in the direction asked for
		p.Best, p.LogEvidence = g.times[len(g.times)/2], math.Inf(-1)
		for i := range p.Weight {
			p.Weight[i] = 1 / float64(len(p.Weight))
		}
		p.Fit = g.fitted(nil, phi, &p)
		return p
	}
	regression.Normalise(p.Weight, logs)
	from = g.after(p.Best, 0)
	clear(h[:from])
	g.departure(h[from:], p.Best, p.Shape, from)
	p.Fit = g.fitted(h, phi, &p)
	p.Noise = Noise{Sigma: math.Sqrt(best / (n - k - 3) / (1 - phi*phi)), Phi: phi}
	p.LogEvidence = n/2*math.Log((base.RSS+floor)/best) - 1.5*math.Log(n)
	return p
}

// after is the first sample after t0, from one on that is no later.
func (g *onsetSearch) after(t0 float64, from int) int {
	for from < len(g.t) && g.t[from] <= t0 {
		from++
	}
	return from
}

// departure fills h with the departure of a shape that is 1 at the end of the
// window, from the first sample after t0 on; before that it is 0.
func (g *onsetSearch) departure(h []float64, t0 float64, shape, from int) {
	b := g.tables[shape]
	scale := 1 / b.at(g.t[len(g.t)-1]-t0)
	for i, t := range g.t[from:] {
		h[i] = scale * b.at(t-t0)
	}
}

// fitted returns the generalised least-squares fit on the plain scale.
func (g *onsetSearch) fitted(h []float64, phi float64, p *Posterior) []float64 {
	opts := regression.DefaultOptions()
	opts.Noise, opts.Autoregression = regression.Prewhitened, []float64{phi}
	// A covariate that depends on the others gets 0, which leaves the fit as
	// it is; unsuitable input was refused before.
	f, _ := regression.LeastSquares(g.y, g.columns(h), opts)
	fit := make([]float64, len(g.y))
	for i, y := range g.y {
		fit[i] = y - f.Residuals[i]
	}
	p.Before = f.Coefficients[1]
	return fit
}
