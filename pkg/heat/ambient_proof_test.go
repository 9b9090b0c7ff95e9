//go:build proof

package heat

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// How far predictions for 20 K colder or warmer days are off, under each law
// of ambient: from one drive, and from four on days between 3 and 23 °C. What is
// counted is the change of the rise over 20 K, so that the shape over speed does
// not matter.
func TestAmbient(t *testing.T) {
	cars := max(4, setting("BONNETBOOK_PROOF_CARS", 110)/5) // of each law
	seed := uint64(setting("BONNETBOOK_PROOF_SEED", 2026))
	names := []string{"physical", "proportional", "flat", "as a real car"}
	const speed = 80 / 3.6
	count := func(sum *tally, law string) func(c proofCar) {
		return func(c proofCar) {
			var drives []Analysis
			mean := 0.0
			for _, x := range c.courses {
				if len(drives) == 4 {
					break
				}
				if a, _, ok := examined(t, x); ok && a.model.why == "" {
					drives = append(drives, a)
					mean += a.model.ambient
				}
			}
			if len(drives) < 4 {
				return
			}
			mean /= float64(len(drives))
			step := func(n int, from, to float64) {
				var rise [2]Prediction
				for i, at := range []float64{from, to} {
					p, err := PredictFrom(Condition{Ambient: kelvinOf(at), Speed: speedOf(speed)}, drives[:n]...)
					if err != nil {
						t.Fatal(err)
					}
					rise[i] = p
				}
				change, err := estimate.Difference("change", onStillDay(rise[1]), onStillDay(rise[0]))
				if err != nil {
					t.Fatal(err)
				}
				truth := c.cruise(to, speed) - c.cruise(from, speed)
				got, half := change.Value-(to-from), change.Interval.Width()/2
				for _, name := range []string{law, "all laws"} {
					sum.note(fmt.Sprintf("%-17s %d drives, %+.0f K", name, n, to-from), true, got, got-half, got+half, truth)
				}
			}
			first := drives[0].model.ambient
			step(1, first, first-20)
			step(1, first, first+20)
			step(4, mean-10, mean+10)
		}
	}
	var second, own tally
	if !skipped(true) {
		for i, law := range []car.AmbientLaw{car.Physical, car.Proportional, car.Flat, car.Measured} {
			judged(t, seed+uint64(i), cars, 5, car.Season{LowC: 3, HighC: 23}, &law, count(&second, names[i]))
		}
		slices.Sort(second.names)
		second.print("second model: change of the rise at a steady 80 km/h on another day")
		second.unbiased(t)
	}
	if skipped(false) {
		return
	}
	simulated(t, seed, 2*cars, 5, 3, 23, func(c proofCar) { count(&own, c.name)(c) })
	slices.Sort(own.names)
	own.print("own simulator: change of the rise at a steady 80 km/h on another day")
	own.unbiased(t)
}

// unbiased fails the test where the change over 20 K from four drives is off by more
// than a kelvin, and missedBy standard errors, on the mean.
func (c *tally) unbiased(t *testing.T) {
	t.Helper()
	for _, n := range c.names {
		r := c.rows[n]
		if bias, e := mean(r.errors), deviation(r.errors)/math.Sqrt(float64(len(r.errors))); strings.Contains(n, " 4 drives") {
			fmt.Printf("  %-46s off by %+.2f ± %.2f K, limit ±1 K\n", n, bias, e)
			if math.Abs(bias) > 1+missedBy*e {
				t.Errorf("%s: off by %.2f K, limit 1 K", n, bias)
			}
		}
	}
}

// onStillDay is a prediction without what the day asked for does of its own: the
// bench that the truth comes from has still days.
func onStillDay(p Prediction) Estimate {
	e := p.Estimate()
	e.Contributions = slices.DeleteFunc(slices.Clone(e.Contributions), func(c estimate.Contribution) bool {
		return strings.HasPrefix(c.Source.ID, anotherDay)
	})
	return e
}
