package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Shape is the distribution of an input in a Monte Carlo evaluation. Each has
// the input's X as its mean and U as its standard deviation.
type Shape int

const (
	// Normal, or Student's t scaled by U where the input has finite degrees of
	// freedom (6.4.9.2: its standard deviation is then larger than U).
	Normal Shape = iota
	RectangularShape
	TriangularShape
	// ArcSine is that of a sinusoidal disturbance: the ends are likelier.
	ArcSine
)

// MonteCarloOptions says how to draw. Start from DefaultMonteCarloOptions; a
// field that is zero takes its default.
type MonteCarloOptions struct {
	// Trials is the number of draws, 200 000 if zero.
	Trials int
	// Level is the coverage probability, 0.95 if zero.
	Level float64
	// Seed makes a run repeatable; every value, zero too, is a seed.
	Seed uint64
	// Correlation of the inputs; all inputs named in it must be Normal with
	// infinite degrees of freedom.
	Correlation Correlation
}

// DefaultMonteCarloOptions returns 200 000 draws and intervals of 95 %.
func DefaultMonteCarloOptions() MonteCarloOptions {
	return MonteCarloOptions{Trials: 200_000, Level: 0.95}
}

// Distribution is the result of a Monte Carlo evaluation.
type Distribution struct {
	// Result has the mean and standard deviation of the draws.
	Result Value
	// Symmetric leaves equal probability on both sides, Shortest is the
	// shortest interval of the level (7.7).
	Symmetric, Shortest Interval
	// Draws holds the sorted results.
	Draws []float64
	Seed  uint64
	// Failed counts draws for which the function was not finite. They are left
	// out; more than 0.1 % is an error.
	Failed int
}

// MonteCarlo propagates the inputs' distributions through f.
//
// Source: JCGM 101:2008, clauses 6.4 and 7. A fixed number of trials is used,
// not the adaptive procedure of 7.9; for the default the ends of a 95 %
// interval of a normal result are good to about 0.01 standard uncertainties.
//
// It fails for inputs that are not finite, fewer than 1000 trials, a level
// outside 0 to 1, and correlations that can't be.
func MonteCarlo(f func(x []float64) float64, inputs []Input, opt MonteCarloOptions) (Distribution, error) {
	if opt.Trials == 0 {
		opt.Trials = 200_000
	}
	if opt.Level == 0 {
		opt.Level = 0.95
	}
	if opt.Trials < 1000 {
		return Distribution{}, rangeError("number of trials", float64(opt.Trials), 1000, math.Inf(1), "")
	}
	if !(opt.Level > 0 && opt.Level < 1) {
		return Distribution{}, rangeError("level", opt.Level, 0, 1, "such as 0.95")
	}
	draw, err := newSampler(inputs, opt)
	if err != nil {
		return Distribution{}, err
	}
	d := Distribution{Seed: opt.Seed, Draws: make([]float64, 0, opt.Trials)}
	x := make([]float64, len(inputs))
	mean, m2 := 0.0, 0.0
	for range opt.Trials {
		draw(x)
		y := f(x)
		if math.IsNaN(y) || math.IsInf(y, 0) {
			d.Failed++
			continue
		}
		d.Draws = append(d.Draws, y)
		delta := y - mean
		mean += delta / float64(len(d.Draws))
		m2 += delta * (y - mean)
	}
	if float64(d.Failed) > 0.001*float64(opt.Trials) {
		return d, fmt.Errorf("uncertainty: the function was not finite for %d of %d draws; the inputs' distributions reach outside its range: %w", d.Failed, opt.Trials, ErrInput)
	}
	d.Result = Value{X: mean, U: math.Sqrt(m2 / float64(len(d.Draws)-1))}
	slices.Sort(d.Draws)
	d.Symmetric, d.Shortest = coverage(d.Draws, opt.Level)
	return d, nil
}

// coverage returns the probabilistically symmetric and the shortest interval
// of sorted draws (7.7.2 and 7.7.3).
func coverage(y []float64, level float64) (symmetric, shortest Interval) {
	m := len(y)
	q := min(int(level*float64(m)+0.5), m-1)
	r := (m - q) / 2
	symmetric = Interval{Low: y[r], High: y[r+q-1], Level: level}
	shortest = symmetric
	for i := 0; i+q < m; i++ {
		if y[i+q]-y[i] < shortest.High-shortest.Low {
			shortest = Interval{Low: y[i], High: y[i+q], Level: level}
		}
	}
	return symmetric, shortest
}

// newSampler returns a function that fills x with one draw of all inputs.
func newSampler(inputs []Input, opt MonteCarloOptions) (func(x []float64), error) {
	n := len(inputs)
	correlated := make([]bool, n)
	if err := opt.Correlation.check(n); err != nil {
		return nil, err
	}
	for p, r := range opt.Correlation {
		if r != 0 {
			correlated[p.I], correlated[p.J] = true, true
		}
	}
	for i, in := range inputs {
		if err := in.Value.check(in.Name); err != nil {
			return nil, err
		}
		if in.Shape < Normal || in.Shape > ArcSine {
			return nil, fmt.Errorf("uncertainty: %s: unknown shape %d: %w", in.Name, in.Shape, ErrInput)
		}
		if correlated[i] && (in.Shape != Normal || in.Value.DegreesOfFreedom > 0 && !math.IsInf(in.Value.DegreesOfFreedom, 1)) {
			return nil, fmt.Errorf("uncertainty: %s is correlated, which is possible here for normal inputs with infinite degrees of freedom only: %w", in.Name, ErrInput)
		}
	}
	l, err := opt.Correlation.cholesky(n)
	if err != nil {
		return nil, err
	}
	rng := rand.New(rand.NewPCG(opt.Seed, 0x9e3779b97f4a7c15))
	z := make([]float64, n)
	return func(x []float64) {
		for i, in := range inputs {
			z[i] = standardDraw(rng, in)
		}
		for i, in := range inputs {
			s := z[i]
			if correlated[i] {
				s = 0
				for k := 0; k <= i; k++ {
					s += l[i][k] * z[k]
				}
			}
			x[i] = in.Value.X + s*in.Value.U
		}
	}, nil
}

// standardDraw draws with mean 0 and, but for Student's t, variance 1.
func standardDraw(rng *rand.Rand, in Input) float64 {
	switch in.Shape {
	case RectangularShape:
		return math.Sqrt(3) * (2*rng.Float64() - 1)
	case TriangularShape:
		return math.Sqrt(6) * (rng.Float64() - rng.Float64())
	case ArcSine:
		return math.Sqrt2 * math.Sin(math.Pi*(2*rng.Float64()-1))
	}
	z := rng.NormFloat64()
	if nu := in.Value.DegreesOfFreedom; nu > 0 && !math.IsInf(nu, 1) {
		// t = z/√(χ²_ν/ν); χ² by a gamma draw (Marsaglia and Tsang 2000)
		return z / math.Sqrt(2*gammaDraw(rng, nu/2)/nu)
	}
	return z
}

// gammaDraw draws from the gamma distribution of the given shape and scale 1.
// Source: Marsaglia and Tsang, ACM Trans. Math. Softw. 26 (2000) 363–372.
func gammaDraw(rng *rand.Rand, shape float64) float64 {
	if shape < 1 {
		return gammaDraw(rng, shape+1) * math.Pow(rng.Float64(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(rng.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// String returns the mean, the standard deviation and the shortest interval.
func (d Distribution) String() string {
	return fmt.Sprintf("%v, shortest %v, %d draws, seed %d", d.Result, d.Shortest, len(d.Draws), d.Seed)
}
