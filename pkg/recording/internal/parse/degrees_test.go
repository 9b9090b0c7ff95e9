package parse

import "testing"

// TestNoDegrees gives angles that can't be, and numbers that are none.
func TestNoDegrees(t *testing.T) {
	for _, bad := range []string{"46°61'N", "46°30'61\"N", "°30'N", "46°30'9\"5", "191°0'E", "N", "46.5", "46°30.5'9\"x", "E05", "N1", "S", "46N"} {
		if v, ok := Degrees([]byte(bad), '.'); ok {
			t.Errorf("%q read as %v", bad, v)
		}
	}
}
