package air_test

import (
	"math"
	"testing"
)

// within reports a relative difference above tolerance.
func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.8g, want %.8g within %g (off by %.2g)", what, got, want, tolerance, got/want-1)
	}
}
