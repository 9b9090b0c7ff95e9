//go:build proof

package heat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// How often the intervals hold the truth of 200 simulated drives of the demo's
// road: random weather, traffic and breathing. Prints the table that is stored
// in testdata/coverage.txt.
func TestCoverage(t *testing.T) {
	type count struct{ held, given int }
	counts := map[string]*count{}
	note := func(e Estimate, truth float64) {
		c := counts[e.Name]
		if c == nil {
			c = &count{}
			counts[e.Name] = c
		}
		if e.Known() {
			c.given++
			if e.Interval.Low <= truth && truth <= e.Interval.High {
				c.held++
			}
		}
	}
	drives := 0
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 99))
		in := simulate.OpenFilters()
		in.BayShare = 0.3 + 0.65*random.Float64()
		d, h := run(t, in, 273.15+5+25*random.Float64(), seed+100, allRoles...)
		if math.IsNaN(h.Opening) {
			continue
		}
		drives++
		a, segs := analyse(t, d)
		i := int(h.Opening)
		note(a.RiseBefore, h.Intake[i]-h.Ambient[i])
		var speeds, n float64
		for j := i - 240; j < i; j++ {
			speeds, n = speeds+h.Speed[j], n+1
		}
		note(a.FromRadiator, radiatorTruth(h, in, segs, speeds/n))
	}
	fmt.Printf("%d drives\n", drives)
	for name, c := range counts {
		fmt.Printf("%s: given for %d, holds the truth in %.1f %%\n", name, c.given, 100*float64(c.held)/float64(c.given))
	}
}
