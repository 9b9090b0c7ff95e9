package verdict_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// A weather report's pressure, taken as measured at the car at 430 m, is asked
// about in the answer; the demo's own pressures are not.
func TestSeaLevelPressureReachesTheAnswer(t *testing.T) {
	if a := answer(t, saved(t, simulate.Demo(simulate.DemoSeed), `"962.1 hPa"`, `"1013 hPa"`)); !estimate.Has(a.Warnings, air.PressureDoubtful) {
		t.Errorf("warnings %v", a.Warnings)
	}
	if a := answer(t, saved(t, simulate.Demo(simulate.DemoSeed))); estimate.Has(a.Warnings, air.PressureDoubtful) {
		t.Errorf("warnings %v", a.Warnings)
	}
}
