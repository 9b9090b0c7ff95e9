package table

import (
	"math"
	"testing"
)

// TestDistance checks against the quarter meridian of the sphere, πR/2, and
// 60 nautical miles to a degree within the half percent by which the
// international mile was defined on another figure of the Earth.
func TestDistance(t *testing.T) {
	if got, want := Distance(0, 0, math.Pi/2, 0), math.Pi/2*6371008.8; math.Abs(got-want) > 1e-6 {
		t.Errorf("quarter meridian %v, want %v", got, want)
	}
	if got := Distance(0, 0, math.Pi/180, 0); math.Abs(got-60*1852) > 0.005*60*1852 {
		t.Errorf("one degree is %v m", got)
	}
}
