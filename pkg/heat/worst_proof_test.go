//go:build proof

package heat

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// Lists the ten drives of each simulator whose radiator's part lies furthest
// from the truth, and the ten held climbs, in half-widths of the interval.
func TestWorst(t *testing.T) {
	cars := setting("BONNETBOOK_PROOF_CARS", 44)
	seed := uint64(setting("BONNETBOOK_PROOF_SEED", 2026))
	type miss struct {
		by   float64
		text string
	}
	for _, second := range []bool{true, false} {
		var steps, climbs []miss
		f := func(c proofCar) {
			for i, x := range c.courses {
				a, blocks, ok := examined(t, x)
				if !ok {
					continue
				}
				if e := a.FromRadiator; e.Known() && x.opening > 20 {
					after, at := settledBlocks(blocks), int(x.opening)
					truth := over(x.radiator, after) - mean(x.radiator[at-20:at])
					rest := over(x.rise, after) - over(x.radiator, after)
					before := pick(blocks, func(b block) bool { return b.onset < 0 && b.onset > -beforeBlocks })
					steps = append(steps, miss{math.Abs(e.Value-truth) / (e.Interval.Width() / 2), fmt.Sprintf(
						"%s, opening at %.0f s: %.1f ± %.1f K, true %.1f K; before %.1f K at %.0f km/h, after %.1f K at %.0f km/h, of these %.1f K not the radiator's",
						c.name, x.opening, e.Value, e.Interval.Width()/2, truth, over(x.rise, before), 3.6*mean(column(before, func(b block) float64 { return b.speed })),
						over(x.rise, after), 3.6*mean(column(after, func(b block) float64 { return b.speed })), rest)})
				}
				if i > 0 || a.model.why != "" {
					continue
				}
				for _, p := range c.pulls(x.ambient) {
					got, err := a.Predict(p.condition)
					if err != nil || p.kind != pullKind(300, "held 80 km/h") {
						continue
					}
					at := p.condition.Ambient.Kelvin()
					climbs = append(climbs, miss{math.Abs(got.Intake.Kelvin()-at-p.rise) / ((got.High.Kelvin() - got.Low.Kelvin()) / 2), fmt.Sprintf(
						"%s, %.0f %%: %v, true %.1f K; the drive had %.1f K at %.0f km/h, flow up to %.1f",
						c.name, 100*p.condition.Grade, got.Intake.Sub(p.condition.Ambient), p.rise, a.model.rise, 3.6*a.model.reference, a.model.most)})
				}
			}
		}
		if second {
			judged(t, seed, cars, 2, car.Season{}, nil, f)
		} else {
			simulated(t, seed, cars, 2, 0, 30, f)
		}
		for _, all := range [][]miss{steps, climbs} {
			slices.SortFunc(all, func(a, b miss) int { return cmp.Compare(b.by, a.by) })
			for _, m := range all[:min(10, len(all))] {
				fmt.Printf("  %.1f  %s\n", m.by, m.text)
			}
			fmt.Println()
		}
	}
}
