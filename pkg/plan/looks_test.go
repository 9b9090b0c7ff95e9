package plan_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/plan"
)

func evenly(n int) []float64 {
	var t []float64
	for i := range n {
		t = append(t, float64(i+1)/float64(n))
	}
	return t
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6f, want %.6f", what, got, want)
	}
}

// Looking with 1.96 after each of K equal steps, and the constants of Pocock and
// of O'Brien and Fleming that bring the error back to 5 % (C. Jennison, B. W.
// Turnbull, Group Sequential Methods, 2000, tables 1.1, 2.1 and 2.3, from
// memory; computed again with R's mvtnorm).
func TestErrorOfRepeatedLooks(t *testing.T) {
	same := func(z float64, n int) []float64 {
		b := make([]float64, n)
		for i := range b {
			b[i] = z
		}
		return b
	}
	for n, percent := range map[int]float64{2: 8.3, 3: 10.7, 4: 12.6, 5: 14.2, 10: 19.3} {
		within(t, "error of 1.96", 100*plan.ErrorOf(evenly(n), same(1.959964, n)), percent, 0.05)
	}
	for n, z := range map[int]float64{2: 2.17827, 3: 2.28948, 4: 2.36130, 5: 2.41318} {
		within(t, "Pocock", plan.ErrorOf(evenly(n), same(z, n)), 0.05, 2e-6)
	}
	for n, z := range map[int]float64{2: 1.97743, 3: 2.00404, 4: 2.02430, 5: 2.04007} {
		bounds := evenly(n)
		for i, x := range bounds {
			bounds[i] = z / math.Sqrt(x)
		}
		within(t, "O'Brien and Fleming", plan.ErrorOf(evenly(n), bounds), 0.05, 2e-6)
	}
	if !math.IsNaN(plan.ErrorOf([]float64{0.5, 0.4}, []float64{2, 2})) || !math.IsNaN(plan.ErrorOf(evenly(2), []float64{2})) {
		t.Error("nonsense has an error")
	}
}

// spendLate keeps nearly all for the end: 2·(2 − 2Φ(z/√t)) with z of alpha/4, so
// that each side has half (K. K. G. Lan, D. L. DeMets, Biometrika 70 (1983) 659–663,
// the form after O'Brien and Fleming): the published bounds are of it.
func spendLate(alpha, t float64) float64 {
	z := distuv.UnitNormal.Quantile(1 - alpha/4)
	return 2 * (2 - 2*distuv.UnitNormal.CDF(z/math.Sqrt(t)))
}

// Lan's and DeMets's bounds, 2.5 % a side, computed with R's mvtnorm; with two
// sides of 5 %, so alpha 0.1, a public package's test prints 3.74955 2.53993
// 2.01604 1.72014 for four looks.
func TestSpending(t *testing.T) {
	for n, want := range map[int][]float64{
		2: {2.96259, 1.96860}, 3: {3.71030, 2.51143, 1.99305},
		4: {4.33263, 2.96313, 2.35904, 2.01409}, 5: {4.87688, 3.35701, 2.68028, 2.28982, 2.03103},
	} {
		got, err := plan.Bounds(evenly(n), 0.05, spendLate)
		if err != nil {
			t.Fatal(err)
		}
		for i := range want {
			within(t, "late", got[i], want[i], 6e-5)
		}
	}
	got, err := plan.Bounds(evenly(4), 0.1, spendLate)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{3.74955, 2.53993, 2.01604, 1.72014} {
		within(t, "late, 5 % a side", got[i], want, 6e-5)
	}
	for _, spending := range []plan.Spending{plan.SpendEvenly, spendLate} {
		times := []float64{0.3, 0.35, 0.6, 0.9, 1}
		bounds, err := plan.Bounds(times, 0.05, spending)
		if err != nil {
			t.Fatal(err)
		}
		within(t, "error of uneven looks", plan.ErrorOf(times, bounds), 0.05, 1e-6)
	}
	for _, bad := range [][]float64{nil, {0}, {0.5, 0.5}, {1.2}} {
		if _, err := plan.Bounds(bad, 0.05, plan.SpendEvenly); err == nil {
			t.Errorf("times %v were taken", bad)
		}
	}
	if _, err := plan.Bounds(evenly(2), 0, plan.SpendEvenly); err == nil {
		t.Error("an error of nothing was taken")
	}
}
