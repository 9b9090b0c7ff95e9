//go:build proof && unix

package verdict_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/pack"
	"github.com/bonnetbook/bonnetbook/pkg/internal/proving"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// The drives of the other proofs are on true time. Those of two more cars, a tenth of
// a condition's, are written to files by loggers whose clocks are wrong, opened,
// aligned and cut as an owner's are. Apart from what a car's probes are off by in all
// of its drives, their rises have to be those of true time: what remains must be small
// beside the scatter of the drives, of which it would be a part.
func TestAlignedDrives(t *testing.T) {
	out, done := stored(t, "aligned.txt")
	defer done()
	var apart []float64
	for _, seed := range proving.Seeds(proofSeed, 2) {
		a := opened(t, pack.Pack{Name: "tenth", Seed: seed, Sides: side})
		onTrueTime := trueRises(t, seed)
		var car []float64
		for i, r := range a.Runs { // in the order in which they were driven
			for _, rise := range a.Rises {
				if want := onTrueTime[i]; rise.Drive == r.Drive.Name && rise.Identity() == compare.RoadMiddle && !math.IsNaN(float64(rise.Mean)) && !math.IsNaN(want) {
					car = append(car, float64(rise.Mean)-want)
				}
			}
		}
		if len(a.Runs) != 2*side || len(car) < side {
			t.Fatalf("%d drives of %d hold, %d are compared: %v", len(a.Runs), 2*side, len(car), a.LeftOut)
		}
		floats.AddConst(-stat.Mean(car, nil), car)
		apart = append(apart, car...)
	}
	deviation := stat.StdDev(apart, nil)
	fmt.Fprintf(out, "Mean rises at 60 to 95 km/h of %d drives, opened from files of loggers with wrong clocks, less those on true time and the car's mean of that: standard deviation %.3f K, at most %.3f K; seed %d: make verdict-proof\n", len(apart), deviation, math.Max(floats.Max(apart), -floats.Min(apart)), proofSeed)
	if most := flawedScatter / 5; !(deviation < most) {
		t.Errorf("aligned drives scatter by %.2f K about those on true time, at most %.2f K were to be expected", deviation, most)
	}
}

// trueRises are the primary's mean rises of a pack's drives on true time; NaN where
// a drive has none.
func trueRises(t *testing.T, seed uint64) []float64 {
	made, err := judge.Make(judge.Plan{Seed: seed, Before: side, After: side, Order: judge.Balanced, Variant: "plain", ScatterK: 0.6, StepS: 4})
	if err != nil {
		t.Fatal(err)
	}
	var drives []*drive.Drive
	for _, d := range made.Drives {
		d.Run.Day.Rain = false
		d.Trace = d.Run.Do()
		x, err := proving.Drive(made, d)
		if err != nil {
			t.Fatal(err)
		}
		drives = append(drives, x)
	}
	all := make([]float64, len(drives))
	for i := range all {
		all[i] = math.NaN()
	}
	runs, _ := verdict.Cut(drives, segment.DefaultRules())
	for _, run := range runs {
		rises, err := compare.Rises([]compare.Run{{Drive: run.Drive, Segments: run.Segments}}, compare.DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		for i, d := range drives {
			for _, r := range rises {
				if d == run.Drive && r.Identity() == compare.RoadMiddle {
					all[i] = float64(r.Mean)
				}
			}
		}
	}
	return all
}
