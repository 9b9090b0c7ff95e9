package engine_test

import (
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// The series gives what the single function gives, whose values are checked
// against the table worked outside this package; bad samples are counted.
func TestChangeOverTime(t *testing.T) {
	outside := dryAir(t, 99e3, 30)
	s, err := series.New("intake", series.Temperature, time.Time{}, []float64{0, 2, 4, 6},
		[]float64{273.15 + 60, math.NaN(), 9999, 273.15 + 30})
	if err != nil {
		t.Fatal(err)
	}
	r, err := engine.ChangeOverTime(s, outside)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "density", 100*r.Density.Value[0], -9.00, 0.0051)
	within(t, "lowest (ISO)", 100*r.Low.Value[0], -5.50, 0.0051)
	within(t, "highest (DIN)", 100*r.High.Value[0], -4.61, 0.0051)
	within(t, "no change", r.Low.Value[3], 0, 1e-12)
	if r.Missing != 1 || r.OutOfRange != 1 || !math.IsNaN(r.Low.Value[1]) || !math.IsNaN(r.High.Value[2]) {
		t.Errorf("%d missing, %d out of range, %v", r.Missing, r.OutOfRange, r.Low.Value)
	}
}
