//go:build proof

package clock_test

import (
	"fmt"
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
		n, decided, inside int
		width              float64
	}
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
		if r.Interval.Contains(p.truth) {
			c.inside++
		} else {
			t.Logf("pair %d (%s): truth %+.1f s, %v", k, p.kind, p.truth, r)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d simulated pairs, seed %d; command: go test -tags proof -run TestCoverageOf500Pairs ./pkg/clock\n", pairs, seed)
	fmt.Fprintf(&b, "kind     pairs  decided  inside  mean width of the interval / s\n")
	n, right, strict := 0, 0, 0
	for _, k := range kinds {
		c := all[k]
		fmt.Fprintf(&b, "%-8s %5d  %7d  %6d  %.1f\n", k, c.n, c.decided, c.inside, c.width/float64(max(c.decided, 1)))
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
	t.Log("\n" + b.String())
	if err := os.WriteFile("testdata/coverage.txt", []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if strict < n*95/100 {
		t.Errorf("%d of %d, want at least 95 %%", strict, n)
	}
}
