package regression_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/floats"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// The fast forms are the general fit done otherwise: random data decide.

func noise(r *rand.Rand, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

func close(a, b, tolerance float64) bool {
	return math.Abs(a-b) <= tolerance*(1+math.Abs(b))
}

func TestOnTrendIsLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		n := 8 + r.IntN(100)
		y, x := noise(r, n+20), noise(r, n+20)
		for range 20 { // leaves n to n+20 rows
			if r.IntN(2) == 0 {
				y[r.IntN(len(y))] = math.NaN()
			} else {
				x[r.IntN(len(x))] = math.NaN()
			}
		}
		one, u, u2 := regression.Ones(n+20), make([]float64, n+20), make([]float64, n+20)
		for i := range u {
			u[i] = 2*float64(i)/float64(n+20) - 1
			u2[i] = u[i] * u[i]
			if math.IsNaN(x[i]) {
				one[i] = math.NaN() // the trend alone has the same rows
			}
		}
		full := fit(t, y, [][]float64{one, u, u2, x}, regression.DefaultOptions())
		trend := fit(t, y, [][]float64{one, u, u2}, regression.DefaultOptions())
		f := regression.OnTrend(y, x)
		if f.Rows != full.Rows || !close(f.Coefficient, full.Coefficients[3], 1e-8) || !close(f.RSS, full.RSS, 1e-8) || !close(f.RSSTrend, trend.RSS, 1e-8) {
			t.Fatalf("%+v, want %d rows, %v, %v, %v", f, full.Rows, trend.RSS, full.RSS, full.Coefficients[3])
		}
		rest := regression.Detrended(y, x, f.Coefficient)
		for i, v := range rest {
			if math.IsNaN(v) != math.IsNaN(full.Residuals[i]) || !math.IsNaN(v) && !close(v, full.Residuals[i], 1e-7) {
				t.Fatalf("residual %d: %v, want %v", i, v, full.Residuals[i])
			}
		}
	}
}

func TestBaseIsLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		n := 12 + r.IntN(60)
		phi := 0.95 * r.Float64()
		y := noise(r, n)
		columns := [][]float64{regression.Ones(n), noise(r, n), noise(r, n)}
		from := r.IntN(n - 3)
		if r.IntN(4) == 0 {
			from = 0
		}
		extra := noise(r, n)
		clear(extra[:from])
		opts := regression.DefaultOptions()
		opts.Noise, opts.Autoregression = regression.Prewhitened, []float64{phi}
		plain := fit(t, y, columns, opts)
		full := fit(t, y, append(columns[:3:3], extra), opts)
		b := regression.NewBase(y, append(columns[:3:3], columns[0]), phi) // one depends
		a := b.With(extra, from)
		if b.Rank != 3 || !close(b.RSS, plain.RSS, 1e-8) || !close(a.Coefficient, full.Coefficients[3], 1e-7) || !close(a.RSS, full.RSS, 1e-7) {
			t.Fatalf("rank %d, %v, %+v, want %v, %v, %v", b.Rank, b.RSS, a, plain.RSS, full.Coefficients[3], full.RSS)
		}
	}
}

func TestSumsAreLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	x := noise(r, 300)
	floats.AddConst(4000, x) // a level as far off as kelvin or revolutions are
	levels, lines := regression.NewSums(x, false), regression.NewSums(x, true)
	for range 500 {
		a := r.IntN(290)
		b := a + 3 + r.IntN(297-a)
		level := fit(t, x[a:b], line(b - a)[:1], regression.DefaultOptions())
		straight := fit(t, x[a:b], line(b-a), regression.DefaultOptions())
		if !close(levels.RSS(a, b), level.RSS, 1e-9) || !close(lines.RSS(a, b), straight.RSS, 1e-9) || !close(levels.Mean(a, b), level.Coefficients[0], 1e-9) {
			t.Fatalf("[%d, %d): %v, %v, %v, want %v, %v, %v", a, b, levels.RSS(a, b), lines.RSS(a, b), levels.Mean(a, b), level.RSS, straight.RSS, level.Coefficients)
		}
	}
}

func TestUnevenSumsAreLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	times := []float64{1e5}
	for range 199 {
		times = append(times, times[len(times)-1]+0.1+r.Float64())
	}
	y := noise(r, 200)
	s := regression.NewUnevenSums(times, y)
	for range 500 {
		a := r.IntN(190)
		b := a + 4 + r.IntN(195-a)
		var v, left, right []float64
		for i := a + 1; i <= b; i++ {
			u := (times[i] - times[a]) / (times[b] - times[a])
			v, left, right = append(v, y[i]-s.Centre), append(left, 1-u), append(right, u)
		}
		f := fit(t, v, [][]float64{left, right}, regression.DefaultOptions())
		p := s.Piece(a, b)
		at := func(g, h float64) float64 { return p.GG*g*g + p.GH*g*h + p.HH*h*h + p.G*g + p.H*h + p.One }
		g, h := f.Coefficients[0], f.Coefficients[1]
		if !close(at(g, h), f.RSS, 1e-7) {
			t.Fatalf("(%d, %d]: %v, want %v", a, b, at(g, h), f.RSS)
		}
		// A parabola whose least point that is.
		if d := 2*p.GG*g + p.GH*h + p.G; math.Abs(d) > 1e-6 {
			t.Fatalf("slope %v in the first height", d)
		}
		if d := 2*p.HH*h + p.GH*g + p.H; math.Abs(d) > 1e-6 {
			t.Fatalf("slope %v in the second height", d)
		}
	}
}

// Of all subsets of the columns whose fit has no negative coefficient, the
// best one is the answer.
func TestNonNegativeIsTheBestSubset(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	bound := 0
	for range 300 {
		n, k := 10+r.IntN(30), 1+r.IntN(4)
		y := noise(r, n)
		columns := make([][]float64, k)
		for j := range columns {
			columns[j] = noise(r, n)
			floats.AddConst(r.Float64()*2, columns[j])
			floats.AddScaled(y, 0.5*r.NormFloat64(), columns[j])
		}
		want, least := make([]float64, k), floats.Dot(y, y)
		for set := 1; set < 1<<k; set++ {
			var chosen [][]float64
			var number []int
			for j := range k {
				if set>>j&1 == 1 {
					chosen, number = append(chosen, columns[j]), append(number, j)
				}
			}
			f := fit(t, y, chosen, regression.DefaultOptions())
			if floats.Min(f.Coefficients) >= 0 && f.RSS < least {
				least = f.RSS
				clear(want)
				for p, j := range number {
					want[j] = f.Coefficients[p]
				}
			}
		}
		b, rss, err := regression.NonNegative(y, columns)
		if err != nil || !close(rss, least, 1e-9) || floats.Distance(b, want, 2) > 1e-7 {
			t.Fatalf("%v, %v, %v, want %v, %v", b, rss, err, want, least)
		}
		if floats.Min(want) == 0 {
			bound++
		}
	}
	if bound < 50 {
		t.Errorf("only %d of 300 had a bound coefficient", bound)
	}
	for _, columns := range [][][]float64{nil, {{1}}, {{1, math.NaN()}}, {{1, math.Inf(1)}}} {
		if _, _, err := regression.NonNegative([]float64{1, 2}, columns); !errors.Is(err, regression.ErrInput) {
			t.Errorf("columns %v: error %v", columns, err)
		}
	}
}

func TestLikelihoods(t *testing.T) {
	none, nan := math.Inf(-1), math.NaN()
	x := []float64{-1000, -1001, nan, none}
	want := -1000 + math.Log((1+math.Exp(-1))/4)
	if got := regression.LogMeanExp(x); !close(got, want, 1e-15) {
		t.Errorf("%v, want %v", got, want)
	}
	if got := regression.LogMeanExp([]float64{none, nan}); got != none {
		t.Errorf("nothing has weight %v", got)
	}
	w := make([]float64, 4)
	regression.Normalise(w, x)
	if !close(w[0], 1/(1+math.Exp(-1)), 1e-15) || !close(floats.Sum(w), 1, 1e-15) || w[2] != 0 || w[3] != 0 {
		t.Errorf("weights %v", w)
	}
	regression.Normalise(w[:2], []float64{none, nan})
	if w[0] != 0 || w[1] != 0 {
		t.Errorf("weights %v of nothing", w[:2])
	}
}

// Of 400 lines through AR(1) noise of 0.6, the 95 % intervals of the slope
// hold the truth about as often as they say, where independence would not.
func TestCorrelatedNoiseIsCovered(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	const n, runs = 200, 400
	held := map[regression.Noise]int{}
	for range runs {
		y := noise(r, n)
		for i := 1; i < n; i++ {
			y[i] += 0.6 * y[i-1]
		}
		for kind := regression.Independent; kind <= regression.Prewhitened; kind++ {
			opts := regression.DefaultOptions()
			opts.Noise = kind
			f := fit(t, y, line(n), opts)
			if low, high := f.Interval([]float64{0, 1}, 0.95); low <= 0 && 0 <= high {
				held[kind]++
			}
		}
	}
	// Binomial scatter of 400 is 1.1 %.
	for kind, least := range map[regression.Noise]int{regression.EffectiveSize: 365, regression.Prewhitened: 365} {
		if held[kind] < least || held[kind] > 395 {
			t.Errorf("noise %d: %d of %d intervals hold", kind, held[kind], runs)
		}
	}
	if held[regression.Independent] > 300 {
		t.Errorf("independent: %d of %d hold: the noise does not test anything", held[regression.Independent], runs)
	}
}
