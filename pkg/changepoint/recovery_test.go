package changepoint

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// brutePenalised is the plain optimal-partitioning recursion, unpruned.
func brutePenalised(x []float64, model Model, penalty float64, minLength int) float64 {
	c := newCost(model, x)
	best := make([]float64, len(x)+1)
	best[0] = -penalty
	for k := 1; k <= len(x); k++ {
		best[k] = math.Inf(1)
		for b := 0; b <= k-minLength; b++ {
			best[k] = min(best[k], best[b]+c.RSS(b, k)+penalty)
		}
	}
	return best[len(x)]
}

// PELT's pruning must not lose the optimum that the plain recursion finds.
func TestPeltIsExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := range 60 {
		n := 20 + rng.IntN(80)
		x := make([]float64, n)
		level := 0.0
		for i := range x {
			if rng.IntN(15) == 0 {
				level = rng.NormFloat64() * 3
			}
			x[i] = level + rng.NormFloat64() + 0.05*float64(i)
		}
		for _, model := range []Model{Level, Line} {
			minLength := 2 + trial%4
			f, err := Pelt(x, model, 8, minLength)
			if err != nil {
				t.Fatal(err)
			}
			want := brutePenalised(x, model, 8, minLength)
			if got := f.RSS + 8*float64(len(f.Breaks)); math.Abs(got-want) > 1e-9*(1+want) {
				t.Errorf("trial %d model %d: cost %v, plain recursion %v", trial, model, got, want)
			}
		}
	}
}

// Kinks against trying every set of knots.
func TestKinksIsExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for trial := range 40 {
		n := 6 + rng.IntN(5)
		x, y := make([]float64, n), make([]float64, n)
		at := 0.0
		for i := range y {
			at += 0.5 + rng.Float64()
			x[i], y[i] = at, math.Abs(at-5)+0.3*rng.NormFloat64()+300
		}
		penalty := 0.05 + rng.Float64()
		s := newPieces(x, y)
		want := math.Inf(1)
		for set := range 1 << (n - 2) {
			knots := []int{0}
			for i := range n - 2 {
				if set>>i&1 == 1 {
					knots = append(knots, i+1)
				}
			}
			knots = append(knots, n-1)
			_, rss := s.heights(knots)
			want = min(want, rss+penalty*float64(len(knots)-2))
		}
		c, err := Kinks(x, y, penalty, 1)
		if err != nil {
			t.Fatal(err)
		}
		if got := c.RSS + penalty*float64(len(c.Knots)-2); math.Abs(got-want) > 1e-7 {
			t.Errorf("trial %d: cost %v with knots %v, best of all sets %v", trial, got, c.Knots, want)
		}
	}
}

func TestCoarseFindsBreaksOfLongSequence(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	n := 200_000
	truth := []int{31_234, 90_001, 150_777}
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64()
		for j, b := range truth {
			if i >= b {
				x[i] += []float64{3, -5, 4}[j]
			}
		}
	}
	f, err := Coarse(x, Level, Penalty(n, 1, 0), 2, 2000)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Breaks) != 3 {
		t.Fatalf("breaks %v, want %v", f.Breaks, truth)
	}
	for i := range truth {
		if d := f.Breaks[i] - truth[i]; d < -4 || d > 4 {
			t.Errorf("break %d, want %d", f.Breaks[i], truth[i])
		}
	}
	times, y := make([]float64, n), make([]float64, n)
	for i := range y {
		times[i] = float64(i) / 10
		y[i] = min(float64(i), 70_000)/1000 - max(float64(i)-140_000, 0)/500 + rng.NormFloat64()
	}
	c, err := KinksCoarse(times, y, 3*math.Log(float64(n)), 100, 500)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Knots) != 4 || math.Abs(float64(c.Knots[1]-70_000)) > 500 || math.Abs(float64(c.Knots[2]-140_000)) > 500 {
		t.Errorf("knots %v, want 70000 and 140000 between the ends", c.Knots)
	}
}

// The noise of a known AR(1) process, with a level change in its middle.
func TestEstimateNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, phi := range []float64{0, 0.5, 0.8} {
		x := make([]float64, 20_000)
		e := 0.0
		for i := range x {
			e = phi*e + rng.NormFloat64()*math.Sqrt(1-phi*phi)
			x[i] = 2*e + float64(i/10_000)*20
		}
		got := EstimateNoise(x)
		if math.Abs(got.Phi-phi) > 0.06 || math.Abs(got.Sigma-2) > 0.2 {
			t.Errorf("φ %v: got %+v, want σ 2", phi, got)
		}
	}
}

// 200 known onsets: the 90 % interval holds about 90 % of them. The binomial
// bounds are ±3 standard errors.
func TestOnsetIntervalHoldsTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	held, trials := 0, 200
	for range trials {
		n := 80
		t0 := 60 + 50*rng.Float64()
		x, y := make([]float64, n), make([]float64, n)
		e := 0.0
		for i := range y {
			x[i] = 2 * float64(i)
			e = 0.5*e + 0.2*rng.NormFloat64()
			y[i] = 20 + 0.01*x[i] + 0.005*math.Pow(max(0, x[i]-t0), 2) + e
		}
		p, err := Onset(x, y, OnsetRules{Direction: 1})
		if err != nil {
			t.Fatal(err)
		}
		if p.Quantile(0.05) <= t0 && t0 <= p.Quantile(0.95) {
			held++
		}
	}
	if share := float64(held) / float64(trials); share < 0.9-0.064 || share > 0.9+0.064 {
		t.Errorf("90 %% interval holds the truth in %.1f %%", 100*share)
	}
}

func TestConstantAndTooShort(t *testing.T) {
	flat := make([]float64, 50)
	f, err := Pelt(flat, Level, 1, 2)
	if err != nil || len(f.Breaks) != 0 {
		t.Errorf("constant sequence: %v, %v", f, err)
	}
	if _, err := Pelt(flat[:1], Level, 1, 2); !errors.Is(err, ErrInput) {
		t.Errorf("one value: error %v", err)
	}
	bad := slices.Clone(flat)
	bad[7] = math.NaN()
	if _, err := Neighbourhood(bad, Level, 2, 2); !errors.Is(err, ErrInput) {
		t.Errorf("missing value: error %v", err)
	}
}

func benchmarkSequence(n int) (t, x []float64) {
	rng := rand.New(rand.NewPCG(11, 12))
	t, x = make([]float64, n), make([]float64, n)
	for i := range x {
		t[i] = float64(i)
		x[i] = rng.NormFloat64() + 5*float64(i*7/n%2)
	}
	return t, x
}

func BenchmarkCoarseTenMillion(b *testing.B) {
	_, x := benchmarkSequence(10_000_000)
	for b.Loop() {
		if _, err := Coarse(x, Level, Penalty(len(x), 1, 0), 2, 4000); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkKinksCoarseTenMillion(b *testing.B) {
	t, x := benchmarkSequence(10_000_000)
	for b.Loop() {
		if _, err := KinksCoarse(t, x, 3*math.Log(1e7), 2, 400); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkKinks400(b *testing.B) {
	t, x := benchmarkSequence(400)
	for b.Loop() {
		if _, err := Kinks(t, x, 3*math.Log(400), 2); err != nil {
			b.Fatal(err)
		}
	}
}

// What can't be searched is refused, not guessed.
func TestOnsetRefuses(t *testing.T) {
	var x, y []float64
	for i := range 20 {
		x, y = append(x, float64(i)), append(y, float64(i%3))
	}
	nan := make([]float64, 20)
	nan[4] = math.NaN()
	for name, rules := range map[string]OnsetRules{
		"covariate too short":  {Covariates: [][]float64{x[:19]}},
		"covariate with a gap": {Covariates: [][]float64{nan}},
		"too many covariates":  {Covariates: [][]float64{x, x, x, x, x, x, x, x, x, x, x, x, x, x, x, x}},
		"nothing in between":   {From: 100, To: 200},
	} {
		if _, err := Onset(x, y, rules); !errors.Is(err, ErrInput) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	// A covariate that repeats the slope changes nothing.
	plain, err := Onset(x, y, DefaultOnsetRules())
	if err != nil {
		t.Fatal(err)
	}
	rules := DefaultOnsetRules()
	rules.Covariates = [][]float64{x}
	same, err := Onset(x, y, rules)
	if err != nil || math.Abs(same.Quantile(0.5)-plain.Quantile(0.5)) > 1e-6 {
		t.Errorf("%v, %v, want %v", same.Quantile(0.5), err, plain.Quantile(0.5))
	}
}

// A posterior that is symmetric about a candidate has its median there, and all
// of its probability lies within half a step of a single certain one.
func TestQuantileIsCentred(t *testing.T) {
	p := Posterior{Time: []float64{0, 2, 4, 6, 8}, Weight: []float64{0.1, 0.2, 0.4, 0.2, 0.1}}
	for q, want := range map[float64]float64{0.5: 4, 0.3: 3, 0.7: 5, 0.1: 1, 0.9: 7, 0: 0, 1: 8, 0.05: 0.5, 0.95: 7.5} {
		if got := p.Quantile(q); math.Abs(got-want) > 1e-12 {
			t.Errorf("quantile %g: %g, want %g", q, got, want)
		}
	}
	sure := Posterior{Time: []float64{0, 2, 4}, Weight: []float64{0, 1, 0}}
	if a, b, c := sure.Quantile(0), sure.Quantile(0.5), sure.Quantile(1); a != 1 || b != 2 || c != 3 {
		t.Errorf("a certain candidate at 2: %g, %g, %g", a, b, c)
	}
}
