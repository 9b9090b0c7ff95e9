package engine_test

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestImpossibleDisplacementIsRefused(t *testing.T) {
	for _, v := range []Volume{Volume(math.Inf(1)), Volume(math.NaN()), -Litre, 1598} { // 1598 m³
		d := engine.Description{Displacement: v}
		if q, err := d.AirDemand(3000*RevolutionPerMinute, 0.8); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(float64(q)) {
			t.Errorf("%v: air demand %v, %v", v, q, err)
		}
		if p, err := d.MeanEffectivePressure(120); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(float64(p)) {
			t.Errorf("%v: mean effective pressure %v, %v", v, p, err)
		}
		if err := d.Check(); !errors.Is(err, engine.ErrOutOfRange) {
			t.Errorf("%v: %v", v, err)
		}
	}
	if p, err := (engine.Description{Displacement: Litre}).MeanEffectivePressure(Torque(math.Inf(1))); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("infinite torque: %v, %v", p, err)
	}
}
