package air_test

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
	"github.com/bonnetbook/bonnetbook/pkg/air"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Whatever numbers come in: a NaN has an error that wraps ErrOutOfRange beside
// it, and everything else is a density that air can have.
func FuzzDensity(f *testing.F) { fuzzDensity(f) }

func fuzzDensity(f mutant.F) {
	for _, c := range [][3]float64{{101325, 293.15, 0.5}, {1013, 20, 50}, {0, 0, 0}, {10e3, 423.15, 1}, {math.Inf(1), math.NaN(), -1}} {
		f.Add(c[0], c[1], c[2])
	}
	f.Fuzz(func(t *testing.T, p, k, h float64) {
		for _, density := range []func(Pressure, Temperature, RelativeHumidity) (Density, error){air.Density, air.DensityCIPM2007} {
			d, err := density(Pressure(p), Kelvin(k), RelativeHumidity(h))
			if math.IsNaN(float64(d)) != errors.Is(err, air.ErrOutOfRange) || (err == nil && !(d > 0.05 && d < 2)) {
				t.Errorf("%v Pa, %v K, %v: %v, %v", p, k, h, d, err)
			}
		}
		s, err := air.NewState(Pressure(p), Kelvin(k), RelativeHumidity(h))
		if err != nil {
			return
		}
		if w, err := air.WetBulb(s); err == nil && !(w.Kelvin() <= k+1e-6) {
			t.Errorf("wet bulb %v of %v", w, s)
		}
		if h > 1e-6 && !(s.DewPoint().Kelvin() <= k+1e-6) {
			t.Errorf("dew point %v of %v", s.DewPoint(), s)
		}
	})
}
