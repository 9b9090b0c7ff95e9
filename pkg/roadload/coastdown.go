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
	// KnownGrade (rise over run, positive uphill outwards) and KnownWind
	// (headwind outwards, m/s) are used where the two above are false.
	KnownGrade, KnownWind float64
}

// DefaultCoastOptions fits F0 and F2 on a level road in still air.
func DefaultCoastOptions() CoastOptions { return CoastOptions{} }

// OneWay is the kind of warning about runs in one direction only.
const OneWay estimate.Kind = "one direction"

// CoastDown is a fitted road load.
type CoastDown struct {
	Load RoadLoad
	// Grade and Wind are the fitted or the known ones.
	Grade, Wind float64
	// Residual is the standard deviation of speed about the fit, m/s.
	Residual float64
	Runs     int
	// Predicted holds the fitted speeds of each run.
	Predicted [][]float64
	Warnings  []estimate.Warning
}

// FitCoastDown fits road-load coefficients to coast-downs.
//
//	M_e·dV/dt = −(F0 + F1·V + F2·(V ± W)²) − (±)M·g·sin θ, + outwards, − back
//
// The speeds that the equation gives, integrated from a fitted start of each
// run, are fitted by least squares (Gauss–Newton), so that no trace is
// differentiated. With four runs or more the uncertainties come from leaving
// out one run at a time (jackknife, one degree of freedom fewer than runs);
// with fewer they come from the residuals, which are not independent, and a
// warning says so.
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
	theta, covariance, sd, err := f.solve()
	if err != nil {
		return CoastDown{}, err
	}
	r := CoastDown{Runs: len(runs), Residual: sd}
	r.Load, r.Grade, r.Wind = f.unpack(theta)
	for i := range runs {
		r.Predicted = append(r.Predicted, f.integrate(theta, i))
	}
	if !f.jackknife(&r) {
		f.spread(&r, covariance)
		r.Warnings = append(r.Warnings, estimate.Warning{Kind: estimate.FewData, Subject: "runs", Text: fmt.Sprintf("%d runs: uncertainty from the residuals alone, which are not independent; make four runs or more", len(runs))})
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
			if k > 0 && !(r.Time[k] > r.Time[k-1]) {
				return rangeError("FitCoastDown", fmt.Sprintf("run %d, time number %d,", i+1, k+1), r.Time[k], r.Time[k-1], math.Inf(1), quantity.KindDuration.SI(), "times must ascend")
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
// F1, slope and wind where they are fitted, then each run's initial speed,
// all in units that make them of order one.
type coastFit struct {
	m, me float64
	opt   CoastOptions
	runs  []CoastRun
}

const (
	unitF0, unitF1, unitF2 = 100.0, 1.0, 0.4
	unitGrade, unitWind    = 0.005, 1.0
	unitSpeed              = 20.0
	largestStep            = 0.5 // s, of the integration
	gaussNewtonSteps       = 30
	relativeConvergence    = 1e-10
	derivativeStep         = 1e-4
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

// solve returns the parameters, their covariance from the residuals, and the
// residuals' standard deviation.
func (f *coastFit) solve() (theta []float64, covariance *mat.SymDense, sd float64, err error) {
	n, rows := f.shared()+len(f.runs), 0
	theta = make([]float64, n)
	theta[0], theta[1] = 1.5*f.m/1000, 1
	for i, r := range f.runs {
		theta[f.shared()+i] = r.Speed[0] / unitSpeed
		rows += len(r.Time)
	}
	if rows <= n {
		return nil, nil, math.NaN(), fmt.Errorf("roadload.FitCoastDown: %d speeds for %d unknowns: %w", rows, n, ErrTooFew)
	}
	residuals := func(theta []float64) []float64 {
		r := make([]float64, 0, rows)
		for i := range f.runs {
			for k, v := range f.integrate(theta, i) {
				r = append(r, f.runs[i].Speed[k]-v)
			}
		}
		return r
	}
	r := residuals(theta)
	var normal mat.SymDense
	for range gaussNewtonSteps {
		jacobian := mat.NewDense(rows, n, nil)
		for j := range n {
			x := slices.Clone(theta)
			x[j] += derivativeStep
			up := residuals(x)
			x[j] -= 2 * derivativeStep
			down := residuals(x)
			for k := range up {
				jacobian.Set(k, j, (down[k]-up[k])/(2*derivativeStep))
			}
		}
		normal.Reset()
		normal.SymOuterK(1, jacobian.T())
		var right, step mat.VecDense
		right.MulVec(jacobian.T(), mat.NewVecDense(rows, r))
		var c mat.Cholesky
		if !c.Factorize(&normal) || c.Cond() > 1e12 {
			return nil, nil, math.NaN(), fmt.Errorf("roadload.FitCoastDown: the runs do not determine all of the unknowns; fit fewer of F1, slope and wind: %w", ErrTooFew)
		}
		if err := c.SolveVecTo(&step, &right); err != nil {
			return nil, nil, math.NaN(), fmt.Errorf("roadload.FitCoastDown: %w", err)
		}
		before, scale := sumOfSquares(r), 1.0
		var next []float64
		for ; scale > 1e-4; scale /= 2 {
			next = slices.Clone(theta)
			for j := range next {
				next[j] += scale * step.AtVec(j)
			}
			if trial := residuals(next); sumOfSquares(trial) <= before*(1+1e-12) {
				r = trial
				break
			}
		}
		if scale <= 1e-4 {
			break // no step improves: the minimum is reached within rounding
		}
		theta = next
		if mat.Norm(&step, 2)*scale < relativeConvergence*float64(n) {
			break
		}
	}
	variance := sumOfSquares(r) / float64(rows-n)
	var c mat.Cholesky
	if !c.Factorize(&normal) {
		return nil, nil, math.NaN(), fmt.Errorf("roadload.FitCoastDown: no uncertainty can be given: %w", ErrTooFew)
	}
	covariance = mat.NewSymDense(n, nil)
	if err := c.InverseTo(covariance); err != nil {
		return nil, nil, math.NaN(), fmt.Errorf("roadload.FitCoastDown: %w", err)
	}
	covariance.ScaleSym(variance, covariance)
	return theta, covariance, math.Sqrt(variance), nil
}

func sumOfSquares(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return s
}

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

// jackknife sets the covariance from fits that leave out one run each, and
// reports whether there are runs enough.
func (f *coastFit) jackknife(r *CoastDown) bool {
	n := len(f.runs)
	if n < 4 {
		return false
	}
	var fits [][3]float64
	for i := range f.runs {
		g := *f
		g.runs = slices.Delete(slices.Clone(f.runs), i, i+1)
		if checkRuns(g.runs, g.opt) != nil {
			return false
		}
		theta, _, _, err := g.solve()
		if err != nil {
			return false
		}
		l, _, _ := g.unpack(theta)
		fits = append(fits, [3]float64{l.F0, l.F1, l.F2})
	}
	var mean [3]float64
	for _, x := range fits {
		for i := range mean {
			mean[i] += x[i] / float64(n)
		}
	}
	for _, x := range fits {
		for i := range mean {
			for j := range mean {
				r.Load.Covariance[i][j] += float64(n-1) / float64(n) * (x[i] - mean[i]) * (x[j] - mean[j])
			}
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
