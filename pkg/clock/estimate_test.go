package clock_test

import (
	"fmt"
	"os"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

func TestScratch(t *testing.T) {
	n := 50
	fmt.Sscan(os.Getenv("N"), &n)
	o := clock.DefaultOptions()
	o.MinEvidence = -100
	for k := range n {
		if os.Getenv("K") == "none" && k%5 != 4 {
			continue
		}
		p := simulatedPair(1, k)
		r, err := clock.Estimate(p.first, p.second, o)
		t.Logf("%s k %d evidence %.1f inside %v width %.0f  err %v", p.kind, k, r.Evidence, r.Interval.Contains(p.truth), r.Interval.Duration(), err != nil)
	}
}
