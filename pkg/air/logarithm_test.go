package air

import (
	"math"
	"testing"
)

func TestLogKelvin(t *testing.T) {
	for k := 200.0; k <= 480; k += 0.37 {
		if d := logKelvin(k) - math.Log(k); math.Abs(d) > 2e-12 {
			t.Fatalf("ln %v is off by %v", k, d)
		}
	}
}
