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
