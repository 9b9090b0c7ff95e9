package plan

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// R 4.2: power.t.test(n = 20, delta = 1, sd = 1): power = 0.8689528.
// power.t.test(power = .90, delta = 1): n = 22.02110 (R's help page).
// power.t.test(n = c(3, 5, 10), sd = 2, power = 0.8): delta = 6.142, 4.049,
// 2.650.
func TestPowerAgainstR(t *testing.T) {
	p, err := Power(20, 1, 1, 0.95)
	if err != nil || math.Abs(p-0.8689528) > 5e-7 {
		t.Errorf("power %v, R 0.8689528 (%v)", p, err)
	}
	if n, err := DrivesNeeded(1, 1, 0.95, 0.9); err != nil || n != 23 {
		t.Errorf("drives needed %d, R 22.02 rounded up 23 (%v)", n, err)
	}
	for _, c := range []struct {
		n    int
		want float64
	}{{3, 6.142}, {5, 4.049}, {10, 2.650}} {
		d, err := DetectableDifference(c.n, 2, 0.95, 0.8)
		if err != nil || math.Abs(float64(d)-c.want) > 5e-4 {
			t.Errorf("n = %d: %v, R %v (%v)", c.n, float64(d), c.want, err)
		}
	}
}

func TestPowerRefusesNonsense(t *testing.T) {
	for _, c := range []struct {
		n     int
		sd    float64
		level float64
	}{{1, 1, 0.95}, {5, 0, 0.95}, {5, math.NaN(), 0.95}, {5, 1, 95}} {
		p, err := Power(c.n, 1, quantity.TemperatureDifference(c.sd), c.level)
		if err == nil || !math.IsNaN(p) {
			t.Errorf("%+v: got %v, %v; want NaN and an error", c, p, err)
		}
	}
}
