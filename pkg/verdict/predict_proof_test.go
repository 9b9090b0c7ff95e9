//go:build proof

package verdict_test

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/proving"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// On cars of another model of the bay, driven without a pull: how often the
// change that is predicted for one holds the true change of a pull of ten
// seconds on the level, at 20 °C.
func TestPredictedPulls(t *testing.T) {
	told, held, below, cars, pulls := 0, 0, 0, 0, 0
	var width float64
	for _, seed := range proving.Seeds(20261127, 60) {
		made, err := judge.Make(judge.Plan{Seed: seed, Before: 3, After: 3, NoPulls: true, ScatterK: 1.2})
		if err != nil {
			t.Fatal(err)
		}
		var drives []*drive.Drive
		for _, d := range made.Drives {
			x, err := proving.Drive(made, d)
			if err != nil {
				t.Fatal(err)
			}
			x.Configuration = configuration(d.After)
			x.Weather = drive.Weather{Pressure: 99_000, PressureUncertainty: 500, Humidity: 0.6, HumidityUncertainty: 0.1, HumidityKnown: true}
			drives = append(drives, x)
		}
		cars++
		a, err := verdict.OfDrives(drive.Set{Drives: drives}, verdict.Question{Before: "before", After: "after"})
		if err != nil {
			t.Fatal(err)
		}
		taken := 0
		for _, p := range a.Pulls {
			if !p.Brisk {
				taken++
			}
		}
		pulls += taken
		if a.Power.Predicted == nil {
			t.Logf("seed %d: %d pulls, %v", seed, taken, a.Power.Warnings)
			continue
		}
		told++
		truth := made.Load(1, 20).Pulls[0].RiseK[0] - made.Load(0, 20).Pulls[0].RiseK[0]
		v := a.Power.Predicted.Difference.Change.Interval
		t.Logf("true %+.1f K, predicted %+.1f to %+.1f K", truth, v.Low, v.High)
		width += v.High - v.Low
		if v.Low <= truth && truth <= v.High {
			held++
		}
		if truth < v.Low {
			below++
		}
	}
	share := float64(held) / float64(told)
	t.Logf("%d cars, %d stretches taken for pulls though there was none; %d told, %.1f ± %.1f %% hold the truth (%d below), mean width %.1f K", cars, pulls, told, 100*share, 100*math.Sqrt(share*(1-share)/float64(told)), below, width/float64(told))
	if told < cars/2 || share < 0.85 {
		t.Error("the prediction does not hold")
	}
}
