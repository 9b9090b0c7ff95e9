package doubt

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Sound drives give an alarm in no more campaigns of 200 drives than of 6; a probe
// that is heated is told of, in one drive by much or in many by little.
func TestTelling(t *testing.T) {
	random := rand.New(rand.NewPCG(61, 62))
	const campaigns = 2000
	for _, drives := range []int{1, 6, 50, 200} {
		alarmed := 0
		for range campaigns {
			var sizes []float64
			for range drives {
				if size := 0.5 * random.NormFloat64(); size > 1 {
					sizes = append(sizes, size)
				}
			}
			if slices.Contains(Telling(sizes, drives), true) {
				alarmed++
			}
		}
		t.Logf("%d drives: alarms in %d of %d campaigns", drives, alarmed, campaigns)
		if share := float64(alarmed) / campaigns; share > 0.2 {
			t.Errorf("%d sound drives: alarms in %.0f %% of campaigns", drives, 100*share)
		}
	}
	if !Telling([]float64{1.1}, 1)[0] {
		t.Error("1.1 K in a campaign of one drive is not told")
	}
	if got := Telling([]float64{1.1, 1.2, 1.4, 1.1}, 204); slices.Contains(got, true) {
		t.Errorf("4 of 204 drives by little: %v", got)
	}
	if got := Telling([]float64{3, 1.1}, 204); !slices.Equal(got, []bool{true, false}) {
		t.Errorf("3 K in one of 204 drives: %v", got)
	}
	if got := Telling(slices.Repeat([]float64{1.2}, 40), 204); slices.Contains(got, false) {
		t.Errorf("40 of 204 drives: %v", got)
	}
}
