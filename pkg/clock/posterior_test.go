package clock

import (
	"math"
	"testing"
)

// Where two offsets fit, the delays that no data show go with both of them: the
// interval reaches 1.96 standard deviations beyond each hill.
func TestDelaysGoWithEachRival(t *testing.T) {
	var offset, logL []float64
	for x := -200.0; x <= 200; x++ {
		offset = append(offset, x)
		logL = append(logL, 30*math.Exp(-x*x/32)+29*math.Exp(-(x-40)*(x-40)/32)-1)
	}
	r, err := weigh(offset, logL, 1000, Options{Delay: 5}, Result{})
	if err != nil || len(r.Alternatives) != 1 || r.Offset != 0 {
		t.Fatalf("%v, error %v", r, err)
	}
	if r.Interval.From > -normal*5 || r.Interval.To < 40+normal*5 {
		t.Errorf("%v does not hold both hills with ±%.1f s", r.Interval, normal*5)
	}
}

// Widening keeps the mass and the place of a likelihood, and gives it the
// variance of the normal distribution (a sum of variances).
func TestWidened(t *testing.T) {
	logL := make([]float64, 101)
	for i := range logL {
		logL[i] = math.NaN()
	}
	logL[50] = 0
	sum, mean, square := 0.0, 0.0, 0.0
	for i, g := range widened(logL, 3) {
		w := math.Exp(g)
		sum, mean, square = sum+w, mean+w*float64(i), square+w*float64(i)*float64(i)
	}
	mean /= sum
	if math.Abs(sum-1) > 1e-9 || math.Abs(mean-50) > 1e-9 || math.Abs(square/sum-mean*mean-9) > 0.05 {
		t.Errorf("mass %g, mean %g, variance %g", sum, mean, square/sum-mean*mean)
	}
}
