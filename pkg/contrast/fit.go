package contrast

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// Points of the two grids: a wide one that finds where the mass is, and one
// over that. With twice as many no quantile of the tests moves by more than one
// part in a thousand.
const (
	coarsePoints = 18
	finePoints   = 40
	ratioPoints  = 9
	negligible   = 1e-8 // of the largest weight: what is below is left out
)

// Fit returns the posterior of δ, the second group minus the first. It fails
// where a number is not finite, a prior is not proper, or a group is empty
// ([ErrTooFew]).
func Fit(obs []Observation, m Model) (*Posterior, error) {
	if err := m.check(obs); err != nil {
		return nil, err
	}
	return integrate(newDesign(obs, m), m, 1)[0], nil
}

// FitScales returns the posteriors of δ for several priors of the scatter that
// differ in their scale alone, each so many times the model's: what the drives say
// is worked out once for all of them. It fails as [Fit] does, and where a factor
// is not finite or not above 0.
func FitScales(obs []Observation, m Model, factors ...float64) ([]*Posterior, error) {
	if err := m.check(obs); err != nil {
		return nil, err
	}
	for _, f := range factors {
		if !(f > 0) || math.IsInf(f, 0) {
			return nil, fmt.Errorf("contrast.FitScales: the scale of the scatter's prior times %g; it must be finite and above 0", f)
		}
	}
	if len(factors) == 0 {
		return nil, nil
	}
	return integrate(newDesign(obs, m), m, factors...), nil
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
	return integrate(newDesign(one, m), m, 1)[0], nil
}

// integrate averages over the scatters. Many drives know theirs well, so that
// the mass lies on a small part of what the priors allow.
func integrate(d *design, m Model, factors ...float64) []*Posterior {
	w := d.workspace()
	box := region{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	for _, wide := range d.over(d.reach(m, factors), coarsePoints, m, factors, w) {
		box = box.with(wide.box())
	}
	return d.over(box, finePoints, m, factors, w)
}

// region is a part of the plane of ln τ and ln(after/before).
type region struct{ low, high, lowRatio, highRatio float64 }

// with is the least region that holds both.
func (r region) with(q region) region {
	return region{math.Min(r.low, q.low), math.Max(r.high, q.high), math.Min(r.lowRatio, q.lowRatio), math.Max(r.highRatio, q.highRatio)}
}

// reach is what priors and data leave possible: from a thousandth of what matters
// to far above both, so that the priors' heavy tail is kept.
func (d *design) reach(m Model, factors []float64) region {
	spread := floats.Max(d.y[:d.n]) - floats.Min(d.y[:d.n])
	least, most := floats.Min(factors)*m.Scatter.Scale, floats.Max(factors)*m.Scatter.Scale
	return region{math.Log(0.001 * least), math.Log(math.Max(60*most, 10*spread)), -3.5 * m.LogRatio, 3.5 * m.LogRatio}
}

// over evaluates the posteriors on an even grid of cells: the drives' likelihood
// once, each prior on it.
func (d *design) over(r region, points int, m Model, factors []float64, w *workspace) []*Posterior {
	ratios := ratioPoints
	if m.LogRatio == 0 {
		ratios = 1
	}
	step, ratioStep := (r.high-r.low)/float64(points), (r.highRatio-r.lowRatio)/float64(ratios)
	cells := make([]normal, 0, points*ratios)
	w.keep(cap(cells))
	for i := range points {
		x := r.low + step*(float64(i)+0.5)
		for j := range ratios {
			ratio := r.lowRatio + ratioStep*(float64(j)+0.5)
			n, logLikelihood, ok := d.given(w, [2]float64{math.Exp(x - ratio/2), math.Exp(x + ratio/2)})
			if !ok {
				continue
			}
			if m.LogRatio > 0 {
				logLikelihood -= ratio * ratio / (2 * m.LogRatio * m.LogRatio)
			}
			n.log, n.ratio, n.weight = x, ratio, logLikelihood
			cells = append(cells, n)
		}
	}
	all := make([]*Posterior, len(factors))
	for i, f := range factors {
		s := m.Scatter
		s.Scale *= f
		all[i] = &Posterior{design: d, step: step, ratioStep: ratioStep, parts: weighed(cells, s.logDensity())}
	}
	return all
}

// weighed are the cells, whose weights are logarithms without the scatter's prior,
// with weights that add up to 1; what is negligible is left out.
func weighed(cells []normal, logPrior func(float64) float64) []normal {
	logs := make([]float64, len(cells))
	at, prior := math.NaN(), 0.0
	for i, c := range cells {
		if c.log != at { // cells of one scatter follow one another
			at, prior = c.log, logPrior(c.log)
		}
		logs[i] = c.weight + prior
	}
	top, total := floats.Max(logs), 0.0
	parts := make([]normal, 0, len(cells))
	for i, c := range cells {
		if c.weight = math.Exp(logs[i] - top); c.weight >= negligible {
			parts, total = append(parts, c), total+c.weight
		}
	}
	for i := range parts {
		parts[i].weight /= total
	}
	return parts
}

// box is the region of the cells that carry weight, and one more on each side.
func (p *Posterior) box() region {
	first := p.parts[0]
	r := region{first.log, first.log, first.ratio, first.ratio}
	for _, n := range p.parts {
		r = region{math.Min(r.low, n.log), math.Max(r.high, n.log), math.Min(r.lowRatio, n.ratio), math.Max(r.highRatio, n.ratio)}
	}
	const around = 1.5
	return region{r.low - around*p.step, r.high + around*p.step, r.lowRatio - around*p.ratioStep, r.highRatio + around*p.ratioStep}
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

	group  []int // of a drive
	groups []alike
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
	d.gather()
	return d
}

// workspace holds the normal equations, so that the grid allocates little.
type workspace struct {
	precision []float64        // of each group of drives
	normal    blas64.Symmetric // upper triangle; its factor once solved
	sides     blas64.General   // right sides, solutions once solved: of y, of the pick
	kept      []float64        // room for the solutions of a grid
}

// keep makes room for the solutions of so many cells.
func (w *workspace) keep(cells int) { w.kept = make([]float64, 0, 2*cells*w.normal.N) }

func (d *design) workspace() *workspace {
	k := d.columns
	return &workspace{precision: make([]float64, len(d.groups)),
		normal: blas64.Symmetric{N: k, Stride: k, Data: make([]float64, k*k), Uplo: blas.Upper},
		sides:  blas64.General{Rows: k, Cols: 2, Stride: 2, Data: make([]float64, 2*k)}}
}

// solve solves the normal equations that fill has set up for y and for one row,
// and returns the logarithm of their determinant; false where they are singular.
func (w *workspace) solve(row func(column int) float64) (logDeterminant float64, ok bool) {
	for i := range w.normal.N {
		w.sides.Data[2*i+1] = row(i)
	}
	factor, ok := lapack64.Potrf(w.normal)
	if !ok {
		return 0, false
	}
	lapack64.Potrs(factor, w.sides)
	for i := range factor.N {
		logDeterminant += 2 * math.Log(factor.Data[i*factor.Stride+i])
	}
	return logDeterminant, true
}

// solution copies one of the two.
func (w *workspace) solution(side int) []float64 {
	k := len(w.kept)
	for i := range w.normal.N {
		w.kept = append(w.kept, w.sides.Data[2*i+side])
	}
	return w.kept[k:len(w.kept):len(w.kept)]
}

// fill sets up the normal equations for known scatters and returns the sum of
// the logarithms of the drives' variances.
func (d *design) fill(w *workspace, scatter [2]float64) (logVariances float64) {
	a, b := w.normal, w.sides.Data
	clear(a.Data)
	clear(b)
	for i, g := range d.groups {
		v := g.own + scatter[g.side]*scatter[g.side]
		logVariances += g.drives * math.Log(v)
		w.precision[i] = 1 / v
		floats.AddScaled(a.Data, 1/v, g.products)
		for p, x := range g.withY {
			b[2*p] += x / v
		}
	}
	for i := d.n; i < len(d.x); i++ {
		for p, x := range d.x[i] { // a prior's row has one column, and its y is 0
			a.Data[p*a.Stride+p] += x * x / d.own[i]
		}
	}
	return logVariances
}

// given returns the normal posterior of the target for known scatters, and the
// logarithm of the marginal likelihood up to a constant.
func (d *design) given(w *workspace, scatter [2]float64) (normal, float64, bool) {
	logVariances := d.fill(w, scatter)
	logDeterminant, ok := w.solve(func(column int) float64 {
		if column == d.target {
			return 1
		}
		return 0
	})
	if !ok {
		return normal{}, 0, false
	}
	n := normal{beta: w.solution(0), pick: w.solution(1)}
	n.mean, n.variance = n.beta[d.target], n.pick[d.target]
	rss := 0.0
	for i, row := range d.x {
		e := d.y[i] - floats.Dot(row, n.beta)
		if i < d.n {
			rss += w.precision[d.group[i]] * e * e
		} else {
			rss += e * e / d.own[i]
		}
	}
	return n, -(logVariances + logDeterminant + rss) / 2, true
}

// spread returns the variance of a fitted row where the scatters are known.
func (d *design) spread(w *workspace, row []float64, scatter [2]float64) float64 {
	d.fill(w, scatter)
	if _, ok := w.solve(func(column int) float64 { return row[column] }); !ok {
		return math.Inf(1)
	}
	sum := 0.0
	for i, x := range row {
		sum += x * w.sides.Data[2*i+1]
	}
	return sum
}
