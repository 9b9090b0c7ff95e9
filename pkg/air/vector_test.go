package air_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func TestVectorEqualsScalar(t *testing.T) {
	p := []float64{101325, 95000, 1013, 101325, math.NaN()}
	k := []float64{293.15, 330, 293.15, 20, 293.15}
	h := []float64{0.5}
	got, rejected, err := air.Densities(nil, p, k, h)
	if err != nil {
		t.Fatal(err)
	}
	for i := range k {
		want, _ := air.Density(Pressure(p[i]), Kelvin(k[i]), 0.5)
		if w := float64(want); got[i] != w && !(math.IsNaN(w) && math.IsNaN(got[i])) {
			t.Errorf("sample %d: %v, want %v", i, got[i], w)
		}
	}
	if rejected.Missing != 1 || rejected.OutOfRange != 2 || rejected.First != 2 || !errors.Is(rejected.Reason, air.ErrOutOfRange) {
		t.Errorf("rejected: %v", rejected)
	}
	cipm, rejected, err := air.DensitiesCIPM2007(make([]float64, 2), []float64{101325}, []float64{293.15, 330}, []float64{0.5, 0.5})
	if err != nil || math.Abs(cipm[0]-1.199314) > 1e-6 || !math.IsNaN(cipm[1]) || rejected.OutOfRange != 1 {
		t.Errorf("CIPM: %v, %v, %v", cipm, rejected, err)
	}
	if _, _, err := air.Densities(nil, []float64{1, 2}, k, h); !errors.Is(err, air.ErrShape) {
		t.Errorf("two pressures for five temperatures: %v", err)
	}
	if _, _, err := air.Densities(nil, nil, nil, nil); err != nil {
		t.Errorf("empty: %v", err)
	}
}

func TestDensitySeries(t *testing.T) {
	outside, err := air.NewState(1008*Hectopascal, Celsius(27), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	s, err := series.New("intake", series.Temperature, time.Time{}, []float64{0, 2, 4}, []float64{330, math.NaN(), 9999})
	if err != nil {
		t.Fatal(err)
	}
	d, rejected, err := air.DensitySeries(s, outside)
	if err != nil {
		t.Fatal(err)
	}
	hot, _ := outside.Heated(Kelvin(330))
	if d.Dimension != series.Density || d.Value[0] != float64(hot.Density()) || !math.IsNaN(d.Value[1]) || !math.IsNaN(d.Value[2]) {
		t.Errorf("series %v", d.Value)
	}
	if rejected.Missing != 1 || rejected.OutOfRange != 1 {
		t.Errorf("rejected %v", rejected)
	}
	speed, _ := series.New("speed", series.Speed, time.Time{}, []float64{0}, []float64{3})
	if _, _, err := air.DensitySeries(speed, outside); err == nil {
		t.Error("a speed was taken for a temperature")
	}
}

// A sample costs no memory.
func TestNoAllocation(t *testing.T) {
	dst, k := make([]float64, 64), make([]float64, 64)
	for i := range k {
		k[i] = 290
	}
	p, h := []float64{101325}, []float64{0.5}
	if n := testing.AllocsPerRun(100, func() {
		_, _, _ = air.Densities(dst, p, k, h)
		_, _ = air.Density(101325, Kelvin(290), 0.5)
		_, _ = air.DensityCIPM2007(101325, Kelvin(290), 0.5)
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
