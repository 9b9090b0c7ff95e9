//go:build proof

package clock_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// The offset planted in 500 simulated pairs of recordings lies inside the
// estimate's 95 % interval. Simulation truth, see simulated_test.go. A pair
// whose data say nothing must be answered by "can't be told"; that answer
// counts as right there and, in the stricter count, as wrong elsewhere.
func TestCoverageOf500Pairs(t *testing.T) {
	const seed, pairs = 20261201, 500
	type tally struct {
		n, decided, inside, near int
		width                    float64
	}
	// Where both measure one quantity 2 s are wanted, by motion alone 10 s.
	limit := map[string]float64{"speeds": 2, "probes": 2, "motion": 10, "sparse": 10, "none": 0}
	kinds := []string{"speeds", "probes", "motion", "sparse", "none"}
	all := map[string]*tally{}
	for _, k := range kinds {
		all[k] = &tally{}
	}
	for k := range pairs {
		p := simulatedPair(seed, k)
		r, err := clock.Estimate(p.first, p.second, clock.DefaultOptions())
		c := all[p.kind]
		c.n++
		if err != nil {
			continue
		}
		c.decided++
		c.width += r.Interval.Duration()
		if math.Abs(r.Offset-p.truth) <= limit[p.kind] {
			c.near++
		}
		if r.Interval.Contains(p.truth) {
			c.inside++
		} else {
			t.Logf("pair %d (%s): truth %+.1f s, %v", k, p.kind, p.truth, r)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d simulated pairs, seed %d; command: go test -tags proof -run TestCoverageOf500Pairs ./pkg/clock\n", pairs, seed)
	fmt.Fprintf(&b, "kind     pairs  decided  inside  limit / s  within it  mean width of the interval / s\n")
	n, right, strict := 0, 0, 0
	for _, k := range kinds {
		c := all[k]
		fmt.Fprintf(&b, "%-8s %5d  %7d  %6d  %9.0f  %9d  %.1f\n", k, c.n, c.decided, c.inside, limit[k], c.near, c.width/float64(max(c.decided, 1)))
		n += c.n
		right += c.inside + c.n - c.decided
		if k == "none" {
			strict += c.n - c.decided + c.inside
		} else {
			strict += c.inside
		}
	}
	fmt.Fprintf(&b, "planted offset inside the interval, or rightly or wrongly \"can't be told\": %d of %d\n", right, n)
	fmt.Fprintf(&b, "inside the interval, or \"can't be told\" where there is nothing to tell:    %d of %d\n", strict, n)
	fmt.Fprintf(&b, "probes: the second lags by 0.5 to 4.5 s more, which no reading tells from a clock: 2 s can't be had of temperatures alone, and the interval allows for it\n")
	t.Log("\n" + b.String())
	if err := os.WriteFile("testdata/coverage.txt", []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if strict < n*95/100 {
		t.Errorf("%d of %d, want at least 95 %%", strict, n)
	}
}

// What several drives tell together holds as often as it says: simulated
// campaigns of four weak drives each, one logger whose clock is wrong and
// drifts. Simulation truth, see several_test.go. Its devices have no delays of their
// own, for which an interval allows ±10 s: it holds more often than it says here.
// What it is worth where probes lag and phones smooth is measured by
// TestClocksOfFolders of package campaign.
func TestCoverageOfSeveralDrives(t *testing.T) {
	const campaigns, drives = 150, 4
	alone, aloneRight, together, right := 0, 0, 0, 0
	width := 0.0
	for seed := range uint64(campaigns) {
		profiles, truth, n, ok := weakCampaign(1000+seed, drives)
		alone, aloneRight = alone+n, aloneRight+ok
		got, err := clock.FromSeveral(profiles, clock.DefaultOptions())
		if err != nil {
			continue
		}
		for k, r := range got {
			if r.Method != clock.SeveralDrives {
				continue
			}
			together++
			width += r.Interval.Duration()
			if r.Interval.Contains(truth[k]) {
				right++
			} else {
				t.Logf("campaign %d, drive %d: truth %+.1f s, %v", seed, k, truth[k], r)
			}
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d simulated campaigns of %d weak drives, seeds 1000 on; command: go test -tags proof -run TestCoverageOfSeveralDrives ./pkg/clock\n", campaigns, drives)
	fmt.Fprintf(&b, "told by one drive alone: %d of %d, the truth inside: %d\n", alone, campaigns*drives, aloneRight)
	fmt.Fprintf(&b, "told by all together:    %d of %d, the truth inside: %d (%.1f %%), mean width %.0f s\n", together, campaigns*drives, right, 100*float64(right)/float64(max(together, 1)), width/float64(max(together, 1)))
	t.Log("\n" + b.String())
	if err := os.WriteFile("testdata/several.txt", []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if right < together*93/100 || together <= alone {
		t.Errorf("%d of %d hold, %d alone", right, together, alone)
	}
}
