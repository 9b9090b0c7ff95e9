package roadload

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// CoastRun is one coast-down in neutral.
type CoastRun struct {
	// Time in s, ascending; Speed in m/s, as many.
	Time, Speed []float64
	// Back is true for the direction opposite to the first.
	Back bool
}

// CoastOptions says what is fitted. Start from DefaultCoastOptions.
type CoastOptions struct {
	// Linear fits F1 too. Over 100 km/h to 20 km/h it is hardly separable from
	// the other two.
	Linear bool
	// Grade fits the road's slope from the difference of directions, Wind the
	// component of wind along the road. Both need runs in both directions.
	Grade, Wind bool
	// SteadyWind says that the wind was the same in all runs. Otherwise, with
	// Wind and four runs or more, each run has a wind of its own about it.
	SteadyWind bool
	// KnownGrade (rise over run, positive uphill outwards) and KnownWind
	// (headwind outwards, m/s) are used where the two above are false.
	KnownGrade, KnownWind float64
}

// DefaultCoastOptions fits F0, F2, slope and wind from runs in both directions.
// The zero value takes a level road and still air for granted: a steady wind of
// 1 m/s and a slope of 0.2 % then make F0 wrong by 14 to 30 %.
func DefaultCoastOptions() CoastOptions { return CoastOptions{Grade: true, Wind: true} }

// fewestForChange is the number of runs from which on the wind may differ
// from run to run.
const fewestForChange = 4

// OneWay is the kind of warning about runs in one direction only.
const OneWay estimate.Kind = "one direction"

// CoastDown is a fitted road load.
type CoastDown struct {
	Load RoadLoad
	// Grade and Wind are the fitted or the known ones.
	Grade, Wind float64
	// WindChange is the standard deviation of the wind from run to run, m/s, as
	// fitted; 0 where it was taken as steady.
	WindChange float64
	// Residual is the standard deviation of speed about the fit, m/s.
	Residual float64
	Runs     int
	// Predicted holds the fitted speeds of each run.
	Predicted [][]float64
	Warnings  []estimate.Warning
}

// FitCoastDown fits road-load coefficients to coast-downs.
//
//	M_e·dV/dt = −(F0 + F1·V + F2·(V ± W + w_i)²) − (±)M·g·sin θ, + outwards, − back
//
// The speeds that the equation gives, integrated from a fitted start of each
// run, are fitted by least squares (Gauss–Newton), so that no trace is
// differentiated. θ and W come from opposite runs. w_i is the run's own wind,
// normal about nothing with a standard deviation that is fitted, too
// (restricted maximum likelihood): with one wind for all runs, winds that
// change by 1 m/s between ten runs made F0 5 % too large and F2 5 % too small.
// Since w_i² is in the force, F0 and F2 are those of still air, and no further
// correction for wind, as w₁ of the type approval's coast-down, is due.
//
// The uncertainties are those of the fit or, with four runs or more, of
// leaving out one run at a time (jackknife), whichever are larger, with one
// degree of freedom fewer than runs; with fewer runs a warning says so. How
// often they hold the truth is in testdata/coastdown_coverage.txt. Gusts
// shorter than a run, a slope that changes on the way and traffic are not
// modelled.
//
// Every run needs at least 10 samples and a fall in speed of at least 5 m/s.
// SAE J1263 asks for both directions, 5 °C to 35 °C, wind up to 16 km/h (8
// across), slope below 0.5 % and several pairs. It fails for a vehicle or runs
// that can't be, each named, and where the fit does not converge.
//
// Source: equation of motion of SAE J1263 and ISO 10521.
//
// It fails, wrapping [ErrTooFew], for runs that do not suffice, and, wrapping
// [ErrOutOfRange], for speeds, times and options out of range.
func FitCoastDown(vehicle Vehicle, runs []CoastRun, opt CoastOptions) (CoastDown, error) {
	m, me, err := vehicle.effective("FitCoastDown")
	if err != nil {
		return CoastDown{}, err
	}
	if err := checkRuns(runs, opt); err != nil {
		return CoastDown{}, err
	}
	f := coastFit{m: m, me: me, opt: opt, runs: runs}
	if opt.Wind && !opt.SteadyWind && len(runs) >= fewestForChange {
		f.change = math.NaN()
	}
	s, err := f.solve()
	if err != nil {
		return CoastDown{}, err
	}
	r := CoastDown{Runs: len(runs), Residual: s.noise, WindChange: s.change}
	r.Load, r.Grade, r.Wind = f.unpack(s.theta)
	for i := range runs {
		r.Predicted = append(r.Predicted, f.integrate(s.theta, i))
	}
	f.spread(&r, s.covariance)
	if !f.jackknife(&r) {
		r.Warnings = append(r.Warnings, estimate.Warning{Kind: estimate.FewData, Subject: "runs", Text: fmt.Sprintf("%d runs: uncertainty from the residuals alone, which are not independent; make four runs or more, two each way at least", len(runs))})
	}
	if r.Load.F0 < 0 || r.Load.F2 < 0 {
		r.Warnings = append(r.Warnings, estimate.Warning{Kind: estimate.Disagreement, Subject: "road load", Text: "a coefficient is negative: too narrow a range of speed, wind, or a slope that was not allowed for"})
	}
	if both := slices.ContainsFunc(runs, func(x CoastRun) bool { return x.Back != runs[0].Back }); !both {
		r.Warnings = append(r.Warnings, estimate.Warning{Kind: OneWay, Subject: "runs", Text: "one direction only: slope and wind go into the coefficients unseen"})
	}
	return r, nil
}

func checkRuns(runs []CoastRun, opt CoastOptions) error {
	if len(runs) == 0 {
		return fmt.Errorf("roadload.FitCoastDown: no runs: %w", ErrTooFew)
	}
	out, back := 0, 0
	for i, r := range runs {
		if len(r.Time) != len(r.Speed) || len(r.Time) < 10 {
			return fmt.Errorf("roadload.FitCoastDown: run %d has %d times and %d speeds, want as many and at least 10: %w", i+1, len(r.Time), len(r.Speed), ErrTooFew)
		}
		for k := range r.Time {
			if !(r.Speed[k] >= -1 && r.Speed[k] <= 90) {
				return rangeError("FitCoastDown", fmt.Sprintf("run %d, speed number %d,", i+1, k+1), r.Speed[k], 0, 90, quantity.KindSpeed.SI(), "km/h must be divided by 3.6; cut gaps out before")
			}
			if k > 0 && !(r.Time[k] > r.Time[k-1] && r.Time[k] <= r.Time[k-1]+longestStep) {
				return rangeError("FitCoastDown", fmt.Sprintf("run %d, time number %d,", i+1, k+1), r.Time[k], r.Time[k-1], r.Time[k-1]+longestStep, quantity.KindDuration.SI(), "times must ascend, in seconds, without gaps")
			}
		}
		if r.Speed[0]-r.Speed[len(r.Speed)-1] < 5 {
			return fmt.Errorf("roadload.FitCoastDown: run %d falls from %.1f to %.1f m/s, want a fall of 5 m/s at least: %w", i+1, r.Speed[0], r.Speed[len(r.Speed)-1], ErrTooFew)
		}
		if r.Back {
			back++
		} else {
			out++
		}
	}
	if (opt.Grade || opt.Wind) && (out == 0 || back == 0) {
		return fmt.Errorf("roadload.FitCoastDown: slope and wind can be fitted from both directions only; %d runs out, %d back: %w", out, back, ErrTooFew)
	}
	if !(math.Abs(opt.KnownGrade) <= 0.1) {
		return rangeError("FitCoastDown", "slope", opt.KnownGrade, -0.1, 0.1, plain, "0.05 means 5 %")
	}
	if !(math.Abs(opt.KnownWind) <= 15) {
		return rangeError("FitCoastDown", "wind", opt.KnownWind, -15, 15, quantity.KindSpeed.SI(), "")
	}
	return nil
}

// coastFit holds one least-squares problem. The parameters are F0, F2, then
// F1, slope and wind where they are fitted, then each run's initial speed and,
// where the wind changes, by how much each run's own wind differs, all in
// units that make them of order one.
type coastFit struct {
	m, me float64
	opt   CoastOptions
	runs  []CoastRun
	// change is the standard deviation of the wind from run to run, m/s; 0 is
	// none, NaN asks for it to be found.
	change float64
}

const (
	unitF0, unitF1, unitF2 = 100.0, 1.0, 0.4
	unitGrade, unitWind    = 0.005, 1.0
	unitSpeed              = 20.0
	largestStep            = 1.0 // s, of the integration
	longestStep            = 60  // s, between two speeds of a run
	gaussNewtonSteps       = 60
	relativeConvergence    = 1e-10
	derivativeStep         = 1e-4
	farFromConverged       = 1e-2
	noisiest               = 5.0 // m/s
	firstWindChange        = 1.0 // m/s, to begin with
)

func (f *coastFit) shared() int {
	n := 2
	for _, b := range []bool{f.opt.Linear, f.opt.Grade, f.opt.Wind} {
		if b {
			n++
		}
	}
	return n
}

// unknowns returns how many parameters there are.
func (f *coastFit) unknowns() int {
	n := f.shared() + len(f.runs)
	if f.change != 0 {
		n += len(f.runs)
	}
	return n
}

// own returns the parameters that run i depends on.
func (f *coastFit) own(i int) []int {
	var at []int
	for j := range f.shared() {
		at = append(at, j)
	}
	at = append(at, f.shared()+i)
	if f.change != 0 {
		at = append(at, f.windOf(i))
	}
	return at
}

// windOf is the place of run i's own wind.
func (f *coastFit) windOf(i int) int { return f.shared() + len(f.runs) + i }

func (f *coastFit) unpack(theta []float64) (l RoadLoad, grade, wind float64) {
	l.F0, l.F2 = theta[0]*unitF0, theta[1]*unitF2
	grade, wind = f.opt.KnownGrade, f.opt.KnownWind
	i := 2
	if f.opt.Linear {
		l.F1 = theta[i] * unitF1
		i++
	}
	if f.opt.Grade {
		grade = theta[i] * unitGrade
		i++
	}
	if f.opt.Wind {
		wind = theta[i] * unitWind
	}
	return l, grade, wind
}

// integrate returns run i's speeds at its times by the classical fourth-order
// Runge–Kutta method.
func (f *coastFit) integrate(theta []float64, i int) []float64 {
	l, grade, wind := f.unpack(theta)
	if f.runs[i].Back {
		grade, wind = -grade, -wind
	}
	if f.change != 0 {
		wind += theta[f.windOf(i)] * unitWind
	}
	climb := f.m * gravity * grade / math.Sqrt(1+grade*grade)
	slope := func(v float64) float64 {
		w := v + wind
		return -(l.F0 + l.F1*v + l.F2*w*math.Abs(w) + climb) / f.me
	}
	t := f.runs[i].Time
	out := make([]float64, len(t))
	v := theta[f.shared()+i] * unitSpeed
	out[0] = v
	for k := 1; k < len(t); k++ {
		n := int(math.Ceil((t[k] - t[k-1]) / largestStep))
		h := (t[k] - t[k-1]) / float64(n)
		for range n {
			k1 := slope(v)
			k2 := slope(v + h/2*k1)
			k3 := slope(v + h/2*k2)
			k4 := slope(v + h*k3)
			v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		}
		out[k] = v
	}
	return out
}

// solved is the minimum of one least-squares problem.
type solved struct {
	theta      []float64
	covariance *mat.SymDense
	noise      float64 // standard deviation of a speed
	change     float64 // of the wind from run to run
}

// solve minimises the squares of the residuals and, where the wind changes,
// of each run's own wind over the standard deviation of such winds, in units
// of the noise. Where that deviation is to be found it is the one that makes
// winds and their uncertainties agree with it (restricted maximum likelihood
// by expectation and maximisation, step by step with Gauss and Newton's).
func (f *coastFit) solve() (solved, error) {
	n, rows := f.unknowns(), 0
	s := solved{theta: make([]float64, n), noise: math.NaN(), change: f.change}
	s.theta[0], s.theta[1] = 1.5*f.m/1000, 1
	for i, r := range f.runs {
		s.theta[f.shared()+i] = r.Speed[0] / unitSpeed
		rows += len(r.Time)
	}
	if rows <= n {
		return s, fmt.Errorf("roadload.FitCoastDown: %d speeds for %d unknowns: %w", rows, n, ErrTooFew)
	}
	find := math.IsNaN(f.change)
	weight := 0.0 // of an own wind's square
	if find {
		s.change = firstWindChange
	}
	x := f.residuals(s.theta)
	noise, moved := math.Sqrt(sumOfSquares(x)/float64(rows-n)), math.Inf(1)
	for step := range gaussNewtonSteps {
		if f.change != 0 {
			weight = noise * noise / (s.change * s.change)
		}
		normal, right := f.normal(s.theta, x, weight)
		var c mat.Cholesky
		if !c.Factorize(normal) || c.Cond() > 1e14 {
			return s, fmt.Errorf("roadload.FitCoastDown: the runs do not determine all of the unknowns; fit fewer of F1, slope and wind: %w", ErrTooFew)
		}
		var move mat.VecDense
		if err := c.SolveVecTo(&move, right); err != nil {
			return s, fmt.Errorf("roadload.FitCoastDown: %w", err)
		}
		moved = f.advance(&s, &x, &move, weight)
		s.covariance = mat.NewSymDense(n, nil)
		if err := c.InverseTo(s.covariance); err != nil {
			return s, fmt.Errorf("roadload.FitCoastDown: %w", err)
		}
		noise = math.Sqrt(sumOfSquares(x) / (float64(rows-n) + weight*f.ownVariance(s.covariance)))
		s.covariance.ScaleSym(noise*noise, s.covariance)
		settled := moved < relativeConvergence*float64(n)
		if find {
			before := s.change
			s.change = math.Max(f.ownWinds(s.theta, s.covariance), 1e-6)
			settled = moved < 1e-5*float64(n) && math.Abs(s.change-before) < 1e-3*before+1e-4
		}
		if settled && step > 0 {
			break
		}
	}
	if !(moved < farFromConverged) || !(noise < noisiest) {
		return s, fmt.Errorf("roadload.FitCoastDown: no road load explains these speeds: the fit still moves by %.2g, and the speeds scatter by %.2g m/s about it; is the car in neutral, in every run, without brakes?: %w", moved, noise, ErrTooFew)
	}
	s.noise = noise
	return s, nil
}

// advance takes the step, or a part of it that improves the fit, and returns
// how far it went; nothing where no part improves.
func (f *coastFit) advance(s *solved, x *[]float64, move *mat.VecDense, weight float64) float64 {
	cost := func(theta, x []float64) float64 {
		sum := sumOfSquares(x)
		for i := range f.runs {
			if f.change != 0 {
				sum += weight * theta[f.windOf(i)] * theta[f.windOf(i)]
			}
		}
		return sum
	}
	before := cost(s.theta, *x)
	for scale := 1.0; scale > 1e-4; scale /= 2 {
		next := slices.Clone(s.theta)
		for j := range next {
			next[j] += scale * move.AtVec(j)
		}
		if trial := f.residuals(next); cost(next, trial) <= before*(1+1e-12) {
			s.theta, *x = next, trial
			return mat.Norm(move, 2) * scale
		}
	}
	return 0
}

// ownWinds returns the root of the mean square of the runs' own winds, their
// variances added, m/s.
func (f *coastFit) ownWinds(theta []float64, covariance *mat.SymDense) float64 {
	sum := 0.0
	for i := range f.runs {
		sum += theta[f.windOf(i)]*theta[f.windOf(i)] + covariance.At(f.windOf(i), f.windOf(i))
	}
	return math.Sqrt(sum / float64(len(f.runs)))
}

// ownVariance is the trace of the inverse normal matrix over the own winds,
// which are less than whole unknowns.
func (f *coastFit) ownVariance(inverse *mat.SymDense) (sum float64) {
	if f.change == 0 {
		return 0
	}
	for i := range f.runs {
		sum += inverse.At(f.windOf(i), f.windOf(i))
	}
	return sum
}

// residuals returns measured less fitted speeds, run after run.
func (f *coastFit) residuals(theta []float64) (x []float64) {
	for i := range f.runs {
		for k, v := range f.integrate(theta, i) {
			x = append(x, f.runs[i].Speed[k]-v)
		}
	}
	return x
}

// normal returns the normal matrix and the right side. Each run depends on the
// shared parameters and its own alone.
func (f *coastFit) normal(theta, x []float64, weight float64) (*mat.SymDense, *mat.VecDense) {
	n, from := f.unknowns(), 0
	normal, right := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	moved := slices.Clone(theta)
	for i, r := range f.runs {
		at := f.own(i)
		slopes := make([][]float64, len(at))
		for a, j := range at {
			moved[j] = theta[j] - derivativeStep
			down := f.integrate(moved, i)
			moved[j] = theta[j] + derivativeStep
			up := f.integrate(moved, i)
			moved[j] = theta[j]
			for k := range up {
				up[k] = (up[k] - down[k]) / (2 * derivativeStep)
			}
			slopes[a] = up
		}
		own := x[from : from+len(r.Time)]
		from += len(r.Time)
		for a, j := range at {
			right.SetVec(j, right.AtVec(j)+dot(slopes[a], own))
			for b, k := range at[:a+1] {
				normal.SetSym(j, k, normal.At(j, k)+dot(slopes[a], slopes[b]))
			}
		}
		if f.change != 0 {
			j := f.windOf(i)
			normal.SetSym(j, j, normal.At(j, j)+weight)
			right.SetVec(j, right.AtVec(j)-weight*theta[j])
		}
	}
	return normal, right
}

func dot(a, b []float64) (s float64) {
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

func sumOfSquares(x []float64) float64 { return dot(x, x) }

// spread copies the covariance from the residuals into the road load.
func (f *coastFit) spread(r *CoastDown, c *mat.SymDense) {
	at := []int{0, -1, 1}
	if f.opt.Linear {
		at[1] = 2
	}
	unit := []float64{unitF0, unitF1, unitF2}
	for i := range at {
		for j := range at {
			if at[i] >= 0 && at[j] >= 0 {
				r.Load.Covariance[i][j] = c.At(at[i], at[j]) * unit[i] * unit[j]
			}
		}
	}
}

// jackknife widens the covariance to what fits that leave out one run each
// scatter by, and reports whether there are runs enough. The residuals tell of
// noise and of wind from run to run, leaving out of whatever else differs
// between runs: the larger standard deviation of each coefficient counts.
func (f *coastFit) jackknife(r *CoastDown) bool {
	n := len(f.runs)
	if n < 4 {
		return false
	}
	var fits [][3]float64
	for i := range f.runs {
		g := *f
		g.change = r.WindChange
		g.runs = slices.Delete(slices.Clone(f.runs), i, i+1)
		if checkRuns(g.runs, g.opt) != nil {
			return false
		}
		s, err := g.solve()
		if err != nil {
			return false
		}
		l, _, _ := g.unpack(s.theta)
		fits = append(fits, [3]float64{l.F0, l.F1, l.F2})
	}
	var mean [3]float64
	for _, x := range fits {
		for i := range mean {
			mean[i] += x[i] / float64(n)
		}
	}
	var scale [3]float64
	for i := range scale {
		variance := 0.0
		for _, x := range fits {
			variance += float64(n-1) / float64(n) * (x[i] - mean[i]) * (x[i] - mean[i])
		}
		scale[i] = 1
		if c := r.Load.Covariance[i][i]; c > 0 {
			scale[i] = math.Sqrt(math.Max(1, variance/c))
		}
	}
	for i := range scale {
		for j := range scale {
			r.Load.Covariance[i][j] *= scale[i] * scale[j]
		}
	}
	r.Load.DegreesOfFreedom = float64(n - 1)
	return true
}

// String returns the coefficients, slope, wind and warnings.
func (c CoastDown) String() string {
	s := fmt.Sprintf("%v; slope %.2f %%, wind %.1f m/s, residual %.2f m/s over %d runs", c.Load, 100*c.Grade, c.Wind, c.Residual, c.Runs)
	for _, w := range c.Warnings {
		s += "\n- " + w.Text
	}
	return s
}
