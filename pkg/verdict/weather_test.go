package verdict_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
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

// The days after were a degree warmer than any before: said as a flaw, and not
// once more among the remarks.
func TestWeatherIsToldOnce(t *testing.T) {
	a := answer(t, saved(t, simulate.Demo(simulate.DemoSeed)))
	j := a.Judge(campaign.InPlace)
	told := 0
	for _, f := range j.Flaws {
		if f.Kind == verdict.FlawWeather {
			told++
		}
	}
	if told != 1 || !estimate.Has(a.Warnings, compare.Weather) || estimate.Has(j.Remarks, compare.Weather) {
		t.Errorf("%d flaws, remarks %v, warnings %v", told, j.Remarks, a.Warnings)
	}
}
