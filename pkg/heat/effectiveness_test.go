package heat

import (
	"errors"
	"math"
	"testing"
)

func TestEffectivenessPublished(t *testing.T) {
	for _, c := range []struct {
		source     string
		a          Arrangement
		ntu, ratio float64
		want, tol  float64
	}{
		// Documentation of the ht library (effectiveness_from_NTU), to its digits.
		{"ht, both unmixed", CrossFlowUnmixed, 5, 0.7, 0.84448218, 5e-9},
		{"ht, C_min mixed", CrossFlowMinMixed, 5, 0.7, 0.74978, 5e-6},
		{"ht, C_max mixed", CrossFlowMaxMixed, 5, 0.7, 0.71581, 1.1e-5},
		// UA 75 W/K, 50 and 30 W/K: the equation solver's example prints the
		// approximation 0.7632; the series gives 0.7557.
		{"series, own", CrossFlowUnmixed, 2.5, 0.6, 0.7557, 5e-5},
		// Radiator of Çengel, Heat and Mass Transfer, chapter 11: NTU 1, ratio
		// 0.5; exact value recomputed.
		{"Çengel's radiator", CrossFlowUnmixed, 1, 0.5, 0.5475, 5e-5},
	} {
		got, err := EffectivenessFromNTU(c.a, c.ntu, c.ratio)
		if err != nil || math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: %.9f, %v, want %v", c.source, got, err, c.want)
		}
	}
}

// Limits that every textbook gives: ratio 0 is 1 − exp(−NTU) for all; small
// NTU is NTU; counterflow is best, parallel flow worst.
func TestEffectivenessLimits(t *testing.T) {
	for a := CounterFlow; a <= CrossFlowMaxMixed; a++ {
		for _, ntu := range []float64{0, 0.1, 1, 4} {
			if got, _ := EffectivenessFromNTU(a, ntu, 0); math.Abs(got-(1-math.Exp(-ntu))) > 1e-12 {
				t.Errorf("arrangement %d, NTU %v, ratio 0: %v", a, ntu, got)
			}
			best, _ := EffectivenessFromNTU(CounterFlow, ntu, 0.8)
			worst, _ := EffectivenessFromNTU(ParallelFlow, ntu, 0.8)
			if got, _ := EffectivenessFromNTU(a, ntu, 0.8); got > best+1e-12 || got < worst-1e-12 {
				t.Errorf("arrangement %d, NTU %v: %v outside %v to %v", a, ntu, got, worst, best)
			}
		}
		e, _ := EffectivenessFromNTU(a, 1.3, 0.6)
		if n, err := NTUFromEffectiveness(a, e, 0.6); err != nil || math.Abs(n-1.3) > 1e-9 {
			t.Errorf("arrangement %d: back from ε to NTU %v, %v", a, n, err)
		}
	}
	for _, bad := range [][2]float64{{-1, 0.5}, {1, 1.2}, {math.NaN(), 0.5}} {
		if got, err := EffectivenessFromNTU(CounterFlow, bad[0], bad[1]); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(got) {
			t.Errorf("%v: %v, %v", bad, got, err)
		}
	}
}

// ε lies between 0 and 1 and grows with NTU, however large. With C = 1 the
// unmixed cross flow is 1 − e^{−2N}·(I₀(2N) + I₁(2N)), the mean of the smaller
// of two equal Poisson counts (Skellam 1946; from memory), which tends to
// 1 − 1/√(πN); to four digits by the table of the modified Bessel functions in
// Abramowitz and Stegun, table 9.8: e^{−x}I₀(x), e^{−x}I₁(x) at x = 2, 10:
// 0.30851, 0.21527; 0.12783, 0.12126.
func TestEffectivenessAtExtremes(t *testing.T) {
	for _, c := range []struct{ ntu, want, tol float64 }{
		{1, 1 - 0.30851 - 0.21527, 2e-5}, {5, 1 - 0.12783 - 0.12126, 2e-5},
		{740, 1 - 1/math.Sqrt(740*math.Pi), 1e-5}, {1e4, 1 - 1/math.Sqrt(1e4*math.Pi), 1e-6}, {1e8, 1 - 1/math.Sqrt(1e8*math.Pi), 1e-9},
	} {
		if got, err := EffectivenessFromNTU(CrossFlowUnmixed, c.ntu, 1); err != nil || math.Abs(got-c.want) > c.tol {
			t.Errorf("NTU %g, C 1: %v, %v, want %v", c.ntu, got, err, c.want)
		}
	}
	for a := CounterFlow; a <= CrossFlowMaxMixed; a++ {
		for _, ratio := range []float64{0, 1e-10, 1e-8, 1e-3, 0.5, 0.99, 1} {
			last := 0.0
			for _, ntu := range []float64{1e-9, 1e-3, 1, 10, 100, 300, 700, 740, 750, 1e3, 1e4, 1e5, 9.9e5, 1.1e6, 1e9, 1e300} {
				got, err := EffectivenessFromNTU(a, ntu, ratio)
				if err != nil || !(got >= 0 && got <= 1) || got < last-1e-9 {
					t.Errorf("arrangement %d, NTU %g, C %g: %v after %v, %v", a, ntu, ratio, got, last, err)
				}
				last = got
			}
		}
	}
}
