package clock_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Two probes in the same air, one of which answers 8 s later: the data cannot
// tell its lag from a clock that is late, so the interval must hold both.
// Simulation truth.
func TestProbesOfUnlikeLag(t *testing.T) {
	inside, decided := 0, 0
	const pairs = 16
	for k := range pairs {
		r := rand.New(rand.NewPCG(77, uint64(k)))
		v := route(r, 2400, 1, false)
		air := bayAir(r, v, true)
		slow := smoothed(air, 8)
		offset := float64(r.IntN(600) - 300)
		first := record(r, "first", series.Temperature, air, 0, 2400, 2, 0.1, 0.05, day)
		second := record(r, "second", series.Temperature, slow, 0, 2400, 2, 0.1, 0.05, day.Add(time.Duration(-offset*1e9)))
		ch := func(s *series.Series) []clock.Channel {
			return []clock.Channel{{Series: s, Kind: clock.AirTemperature, Place: "intake"}}
		}
		got, err := clock.Estimate(ch(first), ch(second), clock.DefaultOptions())
		if err != nil {
			continue
		}
		decided++
		if got.Interval.Contains(offset) {
			inside++
		} else {
			t.Logf("pair %d: truth %+.0f s, %v", k, offset, got)
		}
	}
	if decided < pairs-1 || inside < decided {
		t.Errorf("%d of %d intervals hold the truth, of %d pairs", inside, decided, pairs)
	}
}
