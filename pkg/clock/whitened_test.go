package clock

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// The sums that serve all lags give what going through all samples gives, also
// beside gaps and where the two noises have different orders.
func TestSumsAgreeWithSamples(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	nan := math.NaN()
	for trial := range 40 {
		step := []float64{1, 4}[trial%2]
		x := sampled{t0: -50, dt: 1, v: make([]float64, 1500)}
		for i := range x.v {
			x.v[i] = random.NormFloat64()
		}
		y := make([]float64, 300)
		for i := range y {
			y[i] = random.NormFloat64()
		}
		y[0] = nan
		if trial%3 == 1 {
			y[100], y[101], x.v[400] = nan, nan, nan
		}
		r := &response{y: y, yGrid: sampled{t0: 0, dt: step}, x: x, order: 8}
		null, noise := []float64{0.3, 0.1, -0.2}, []float64{0.4, -0.1}
		own := newAlone(y, null)
		yw := make([]float64, len(y))
		regression.Filter(yw, y, noise)
		s := newSamples(yw, own.e)
		w, ok := r.whiten(noise)
		if !ok {
			t.Fatal("the grids fit each other")
		}
		served := 0
		for lag := -400.0; lag < 900; lag += 17.3 {
			f, rival, ok := r.fits(s, w, lag)
			if !ok {
				continue
			}
			served++
			xs, xw := make([]float64, len(y)), make([]float64, len(y))
			r.shifted(xs, lag)
			regression.Filter(xw, xs, noise)
			for i := range xw {
				if math.IsNaN(own.e[i]) || math.IsNaN(yw[i]) {
					xw[i] = nan
				}
			}
			g, h := explained(yw, xw), explained(own.e, xw)
			if f.Rows != g.Rows || math.Abs(f.RSS-g.RSS) > 1e-9*(1+g.RSS) || math.Abs(rival.RSSTrend-h.RSSTrend) > 1e-9*(1+h.RSSTrend) {
				t.Fatalf("trial %d, lag %g: %+v and %+v, want %+v and %+v", trial, lag, f, rival, g, h)
			}
		}
		if served < 3 {
			t.Errorf("trial %d: the sums served %d lags", trial, served)
		}
	}
}
