package contrast

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Points of the grid. With twice as many no quantile of the tests moves by
// more than one part in a thousand.
const (
	scatterPoints = 48
	ratioPoints   = 7
	negligible    = 1e-9 // weight below which a node is dropped
)

// Fit returns the posterior of δ, the second group minus the first. It fails
// where a number is not finite, a prior is not proper, or a group is empty
// ([ErrTooFew]).
func Fit(obs []Observation, m Model) (*Posterior, error) {
	if err := m.check(obs); err != nil {
		return nil, err
	}
	return integrate(newDesign(obs, m), m), nil
}

// FitMean returns the posterior of the mean a of one group at covariates of 0;
// Offset and LogRatio of the model do not matter. It fails as [Fit] does.
func FitMean(obs []Observation, m Model) (*Posterior, error) {
	m.Offset, m.LogRatio = 0, 0
	one := make([]Observation, len(obs))
	for i, o := range obs {
		one[i] = o
		one[i].After = false
	}
	if err := m.check(one); err != nil && !(errors.Is(err, ErrTooFew) && len(one) > 0) {
		return nil, err
	}
	return integrate(newDesign(one, m), m), nil
}

// integrate averages over the scatters.
func integrate(d *design, m Model) *Posterior {
	p := &Posterior{design: d}
	logWeights := []float64{}
	w := d.workspace()
	for _, tau := range d.scatters(m.Scatter) {
		for _, r := range ratios(m.LogRatio) {
			both := [2]float64{tau.value * math.Exp(-r.value/2), tau.value * math.Exp(r.value/2)}
			n, logLikelihood, ok := d.given(w, both)
			if !ok {
				continue
			}
			n.scatter = both
			p.parts = append(p.parts, n)
			logWeights = append(logWeights, tau.logWeight+r.logWeight+logLikelihood)
		}
	}
	total := floats.LogSumExp(logWeights)
	for i := range p.parts {
		p.parts[i].weight = math.Exp(logWeights[i] - total)
	}
	p.parts = slices.DeleteFunc(p.parts, func(n normal) bool { return n.weight < negligible })
	return p
}

// point is a node of a quadrature.
type point struct{ value, logWeight float64 }

// scatters returns nodes of τ: even in ln τ from a hundredth of what matters to
// far above both prior and data, so that the prior's heavy tail is kept.
func (d *design) scatters(s Scatter) []point {
	low := 0.01 * s.Scale
	high := 60 * s.Scale
	if spread := floats.Max(d.y[:d.n]) - floats.Min(d.y[:d.n]); 10*spread > high {
		high = 10 * spread
	}
	step := math.Log(high/low) / (scatterPoints - 1)
	t := distuv.StudentsT{Sigma: s.Scale, Nu: s.DegreesOfFreedom}
	logProb := t.LogProb
	if math.IsInf(s.DegreesOfFreedom, 1) {
		logProb = distuv.Normal{Sigma: s.Scale}.LogProb
	}
	// below low the posterior is flat: one node carries that mass
	all := []point{{low / 2, logProb(low/2) + math.Log(low)}}
	for i := range scatterPoints {
		x := low * math.Exp(step*(float64(i)+0.5))
		all = append(all, point{x, logProb(x) + math.Log(x*step)})
	}
	return all
}

// ratios returns nodes of ln(after/before), even over ±3 standard deviations.
func ratios(deviation float64) []point {
	if deviation == 0 {
		return []point{{0, 0}}
	}
	var all []point
	for i := range ratioPoints {
		z := -3 + 6*float64(i)/(ratioPoints-1)
		all = append(all, point{z * deviation, -z * z / 2})
	}
	return all
}

// design is the regression: rows of drives, then one row for each prior. A
// normal prior of a coefficient is one more observation of it.
type design struct {
	n       int // drives
	columns int
	target  int // column of what is asked for
	x       [][]float64
	y       []float64
	own     []float64 // variance of the row itself: s², or that of the prior
	side    []int     // of a drive
	source  []string  // of a prior's row
}

// Columns that every design begins with; a design of one group has only the
// first.
const (
	meanColumn = iota
	deltaColumn
)

func newDesign(obs []Observation, m Model) *design {
	d := &design{n: len(obs), columns: 1, target: meanColumn}
	if slices.ContainsFunc(obs, func(o Observation) bool { return o.After }) {
		d.columns, d.target = 2, deltaColumn
	}
	covariate := make([]int, len(m.Covariates)) // column, or -1 where fixed
	for i, c := range m.Covariates {
		covariate[i] = -1
		if c.Deviation > 0 {
			covariate[i] = d.columns
			d.columns++
		}
	}
	offset := -1
	if m.Offset > 0 {
		offset = d.columns
		d.columns++
	}
	for _, o := range obs {
		row := make([]float64, d.columns)
		row[meanColumn] = 1
		y := o.Value
		if o.After {
			row[deltaColumn] = 1
			if offset >= 0 {
				row[offset] = 1
			}
		}
		for i, v := range o.Covariates {
			y -= m.Covariates[i].Mean * v // the coefficient's departure from its prior mean is what is fitted
			if covariate[i] >= 0 {
				row[covariate[i]] = v
			}
		}
		d.x, d.y, d.own, d.side = append(d.x, row), append(d.y, y), append(d.own, o.Uncertainty*o.Uncertainty), append(d.side, o.side())
	}
	prior := func(column int, deviation float64, source string) {
		row := make([]float64, d.columns)
		row[column] = 1
		d.x, d.y, d.own = append(d.x, row), append(d.y, 0), append(d.own, deviation*deviation)
		d.source = append(d.source, source)
	}
	for i, c := range m.Covariates {
		if covariate[i] >= 0 {
			prior(covariate[i], c.Deviation, c.Name)
		}
	}
	if offset >= 0 {
		prior(offset, m.Offset, OffsetSource)
	}
	return d
}

// workspace holds the normal equations, so that the grid allocates little.
type workspace struct {
	precision    []float64 // of each row
	normal       *mat.SymDense
	right, unit  *mat.VecDense
	factor       mat.Cholesky
	solved, pick mat.VecDense
}

func (d *design) workspace() *workspace {
	k := d.columns
	w := &workspace{precision: make([]float64, len(d.y)), normal: mat.NewSymDense(k, nil), right: mat.NewVecDense(k, nil), unit: mat.NewVecDense(k, nil)}
	w.unit.SetVec(d.target, 1)
	return w
}

// fill sets up the normal equations for known scatters and returns the sum of
// the logarithms of the drives' variances.
func (d *design) fill(w *workspace, scatter [2]float64) (logVariances float64) {
	for i := range w.precision {
		v := d.own[i]
		if i < d.n {
			v += scatter[d.side[i]] * scatter[d.side[i]]
			logVariances += math.Log(v)
		}
		w.precision[i] = 1 / v
	}
	w.normal.Zero()
	w.right.Zero()
	a, b := w.normal.RawSymmetric(), w.right.RawVector().Data
	for i, row := range d.x {
		for p, x := range row {
			if x == 0 {
				continue
			}
			x *= w.precision[i]
			b[p] += x * d.y[i]
			for q := p; q < len(row); q++ {
				a.Data[p*a.Stride+q] += x * row[q]
			}
		}
	}
	return logVariances
}

// given returns the normal posterior of the target for known scatters, and the
// logarithm of the marginal likelihood up to a constant.
func (d *design) given(w *workspace, scatter [2]float64) (normal, float64, bool) {
	logVariances := d.fill(w, scatter)
	if !w.factor.Factorize(w.normal) {
		return normal{}, 0, false
	}
	if w.factor.SolveVecTo(&w.solved, w.right) != nil || w.factor.SolveVecTo(&w.pick, w.unit) != nil {
		return normal{}, 0, false
	}
	n := normal{mean: w.solved.AtVec(d.target), variance: w.pick.AtVec(d.target),
		beta: slices.Clone(w.solved.RawVector().Data), pick: slices.Clone(w.pick.RawVector().Data)}
	rss := 0.0
	for i, row := range d.x {
		e := d.y[i] - floats.Dot(row, n.beta)
		rss += w.precision[i] * e * e
	}
	return n, -(logVariances + w.factor.LogDet() + rss) / 2, true
}

// spread returns the variance of a fitted row where the scatters are known.
func (d *design) spread(w *workspace, row []float64, scatter [2]float64) float64 {
	d.fill(w, scatter)
	var solved mat.VecDense
	r := mat.NewVecDense(len(row), row)
	if !w.factor.Factorize(w.normal) || w.factor.SolveVecTo(&solved, r) != nil {
		return math.Inf(1)
	}
	return mat.Dot(r, &solved)
}
