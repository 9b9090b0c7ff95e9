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
	p := g.run(0, contender)
	r := make([]float64, n)
	for _, within := range []float64{contender, weightless} {
		for i := range r {
			r[i] = y[i] - p.Fit[i]
		}
		p = g.run(regression.ResidualCorrelation(r, onsetBias, onsetMost), within)
	}
	return p, nil
}

type onsetSearch struct {
	t, y   []float64
	rules  OnsetRules
	times  []float64
	finer  []bool      // which of these are tried only where others come near
	step   float64     // of the tables
	number []int32     // of the stretches that candidates ask for
	tables [][]stretch // of the shapes, by number
	place  []place     // of the samples, for one candidate
	h      [][]float64 // departures of one candidate, by shape
}

// A stretch of a table is a shape between two even steps: thousands of candidates
// ask for the same values, and between neighbours a shape is as good as straight.
type stretch struct{ value, rise float64 }

// A place in the tables is the number of a stretch and how far along it a sample
// lies.
type place struct {
	number int32
	share  float64
}

// tableSteps is how many steps of a table lie between two samples, on average.
const tableSteps = 32

func (g *onsetSearch) tabulate() {
	n := len(g.t)
	steps := tableSteps * (n - 1)
	g.step = (g.t[n-1] - g.t[0]) / float64(steps)
	g.place = make([]place, n)
	asked := g.ask(steps + 1)
	g.tables, g.h = make([][]stretch, len(g.rules.Shapes)), make([][]float64, len(g.rules.Shapes))
	for i, shape := range g.rules.Shapes {
		g.h[i] = make([]float64, n)
		table := make([]stretch, len(asked))
		known, value := -1, 0.0
		for i, k := range asked {
			if known != k {
				value = shape(float64(k) * g.step)
			}
			next := shape(float64(k+1) * g.step)
			table[i] = stretch{value, next - value}
			known, value = k+1, next
		}
		g.tables[i] = table
	}
}

// ask numbers those of n stretches that the candidates ask for and returns them: few
// where samples are even.
func (g *onsetSearch) ask(n int) []int {
	g.number = make([]int32, n)
	from := 0
	for _, t0 := range g.times {
		from = g.after(t0, from)
		for _, t := range g.t[from:] {
			g.number[int((t-t0)/g.step)] = 1
		}
	}
	asked := make([]int, 0, n/4)
	for k, ask := range g.number {
		g.number[k] = int32(len(asked))
		if ask != 0 {
			asked = append(asked, k)
		}
	}
	return asked
}

// locate says where in the tables the samples after t0 lie, from one on.
func (g *onsetSearch) locate(t0 float64, from int) {
	for i, t := range g.t[from:] {
		x := (t - t0) / g.step
		k := int(x)
		g.place[from+i] = place{g.number[k], x - float64(k)}
	}
}

// finely is the number of samples up to which instants between them are tried.
const finely = 120

// Of four instants in a row three are tried only where the first, or the first of
// the next four, comes near the best of the firsts in logarithms of likelihood: by
// the contender's for the best alone, by the weightless's where candidates are
// weighed, a weight of exp(−100) and less being none.
const (
	contender  = 30.0
	weightless = 100.0
)

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
				g.times, g.finer = append(g.times, x), append(g.finer, (parts*i+q)%4 != 0)
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

// run weighs the candidates for noise of the given φ, the finer ones where those
// beside them come within so much of the best.
func (g *onsetSearch) run(phi, within float64) Posterior {
	n := float64(len(g.y))
	base := regression.NewBase(g.y, g.columns(nil), phi)
	k := float64(base.Rank)
	floor := n * square(g.rules.Quantization) / 12 * (1 - phi*phi)
	a := g.newAttempts(base, floor)
	a.coarse()
	a.fine(within)
	p := Posterior{Time: g.times, Weight: make([]float64, len(g.times))}
	if a.best < 0 { // no candidate in the direction asked for
		p.Best, p.LogEvidence = g.times[len(g.times)/2], math.Inf(-1)
		for i := range p.Weight {
			p.Weight[i] = 1 / float64(len(p.Weight))
		}
		p.Fit = g.fitted(nil, phi, &p)
		return p
	}
	p.Best, p.Shape, p.Amplitude = g.times[a.best], a.shape, a.amplitude
	regression.Normalise(p.Weight, a.logs)
	p.Fit = g.fitted(a.departure(p.Best, p.Shape), phi, &p)
	p.Noise = Noise{Sigma: math.Sqrt(a.rss / (n - k - 3) / (1 - phi*phi)), Phi: phi}
	p.LogEvidence = n/2*math.Log((base.RSS+floor)/a.rss) - 1.5*math.Log(n)
	return p
}

// attempts are those of candidates with one φ.
type attempts struct {
	*onsetSearch
	base        *regression.Base
	floor, half float64 // of the noise's squares; half the degrees of freedom
	added       []regression.Added
	shapes      []float64 // logarithms of likelihood of one candidate
	logs        []float64 // of all, −Inf where not tried
	near        []float64 // of all that were tried, also in the other direction

	best, shape    int // −1: none
	rss, amplitude float64
}

func (g *onsetSearch) newAttempts(base *regression.Base, floor float64) *attempts {
	m := len(g.rules.Shapes)
	return &attempts{onsetSearch: g, base: base, floor: floor, half: float64(len(g.y)-base.Rank-1) / 2,
		added: make([]regression.Added, m), shapes: make([]float64, m),
		logs: make([]float64, len(g.times)), near: make([]float64, len(g.times)), best: -1, rss: math.Inf(1)}
}

// coarse tries the candidates that are not among the finer.
func (a *attempts) coarse() {
	from := 0
	for i, t0 := range a.times { // they ascend
		if a.logs[i] = math.Inf(-1); !a.finer[i] {
			from = a.after(t0, from)
			a.try(i, from)
		}
	}
}

// fine tries the finer ones between two others of which one comes within so much of
// the best, and those that have no other on one side.
func (a *attempts) fine(within float64) {
	least := math.Inf(-1)
	for _, v := range a.logs {
		least = max(least, v-within)
	}
	from, before := 0, math.Inf(1)
	for i := 0; i < len(a.times); i++ {
		if !a.finer[i] {
			before = a.near[i]
			continue
		}
		end := i
		for end < len(a.times) && a.finer[end] {
			end++
		}
		if end == len(a.times) || max(before, a.near[end]) >= least {
			for ; i < end; i++ {
				from = a.after(a.times[i], from)
				a.try(i, from)
			}
		}
		i = end - 1
	}
}

// try tries candidate i, after which the samples from one on come.
func (a *attempts) try(i, from int) {
	a.locate(a.times[i], from)
	for number := range a.h {
		a.depart(a.h[number][from:], number, from)
	}
	a.base.Each(a.added, a.h, from)
	a.near[i] = math.Inf(-1)
	for number, with := range a.added {
		a.shapes[number] = math.Inf(-1)
		if with.Left < 1e-9 {
			continue
		}
		rss := with.RSS + a.floor
		log := -a.half * math.Log(rss)
		a.near[i] = max(a.near[i], log)
		if with.Coefficient*a.rules.Direction < 0 {
			continue
		}
		a.shapes[number] = log
		if rss < a.rss || rss == a.rss && i < a.best {
			a.rss, a.best, a.shape, a.amplitude = rss, i, number, with.Coefficient
		}
	}
	a.logs[i] = regression.LogMeanExp(a.shapes)
}

// departure is that of a shape at an instant, at all samples.
func (a *attempts) departure(t0 float64, shape int) []float64 {
	h := a.h[shape]
	from := a.after(t0, 0)
	clear(h[:from])
	a.locate(t0, from)
	a.depart(h[from:], shape, from)
	return h
}

// after is the first sample after t0, from one on that is no later.
func (g *onsetSearch) after(t0 float64, from int) int {
	for from < len(g.t) && g.t[from] <= t0 {
		from++
	}
	return from
}

// depart fills h with the departure of a shape that is 1 at the end of the
// window, at the samples that were located, from one on.
func (g *onsetSearch) depart(h []float64, shape, from int) {
	table := g.tables[shape]
	at := g.place[from:]
	end := at[len(at)-1]
	scale := 1 / (table[end.number].value + end.share*table[end.number].rise)
	h = h[:len(at)]
	for i, p := range at {
		s := &table[p.number]
		h[i] = scale * (s.value + p.share*s.rise)
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
