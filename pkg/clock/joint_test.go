package clock

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// quiet is a witness whose residuals are given.
func quiet(rest []float64) *witness {
	return &witness{
		evidence: &evidence{offset: []float64{0, 1}},
		start:    time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC),
		weight:   []float64{10, 4},
		rest:     sampled{0, 4, rest},
	}
}

func noise(seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 0))
	x := make([]float64, 2000)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

// Kish, Survey Sampling (1965), sec. 5.4: deff = 1 + (m−1)ρ, so that a probe
// that says the same twice counts once, and two independent ones count twice.
func TestWitnessesCountByWhatTheyDoNotShare(t *testing.T) {
	one := []*witness{quiet(noise(1))}
	same := []*witness{quiet(noise(1)), quiet(noise(1))}
	apart := []*witness{quiet(noise(1)), quiet(noise(2))}
	half := []*witness{quiet(noise(1)), quiet(mixed(noise(1), noise(2)))} // ρ = 1/√2

	_, single := together(one)
	for i, want := range []float64{math.Log((1 + math.Exp(10)) / 2), math.Log((1 + math.Exp(4)) / 2)} {
		if math.Abs(single[i]-want) > 1e-12 {
			t.Errorf("one probe, offset %d: %g, want %g", i, single[i], want)
		}
	}
	for _, c := range []struct {
		name string
		all  []*witness
		want float64 // times what one says
	}{
		{"the same noise", same, 1},
		{"noise of their own", apart, 2},
		{"half of the variance shared", half, 2 / (1 + 1/math.Sqrt2)},
	} {
		// 400 sums of 20 s: the correlation's standard error is 0.05.
		if _, got := together(c.all); math.Abs(got[0]/single[0]-c.want) > 0.15*c.want {
			t.Errorf("%s: %.2f times one probe's, want %.2f", c.name, got[0]/single[0], c.want)
		}
	}
}

func mixed(a, b []float64) []float64 {
	x := make([]float64, len(a))
	for i := range a {
		x[i] = a[i] + b[i]
	}
	return x
}

// Residuals on different grids cannot be compared; the cautious answer is that
// they share everything.
func TestWitnessesOnOtherGridsCountOnce(t *testing.T) {
	a, b := quiet(noise(1)), quiet(noise(2))
	b.rest.dt = 5
	if got := designEffect([]*witness{a, b}); got != 2 {
		t.Errorf("design effect %g, want 2", got)
	}
}
