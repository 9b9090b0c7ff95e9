package clock_test

import (
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Two devices record one speed; the second one's clock is 94 s behind.
func ExampleFromSharedQuantity() {
	random := rand.New(rand.NewPCG(1, 1))
	truth, target := []float64{0}, 15.0
	for range 1300 { // a new speed every half minute or so
		if random.IntN(30) == 0 {
			target = 30 * random.Float64()
		}
		v := truth[len(truth)-1]
		truth = append(truth, v+min(1, max(-1, target-v)))
	}
	record := func(name string, behind int) *series.Series {
		var t, v []float64
		for i := range 1200 {
			t, v = append(t, float64(i)), append(v, truth[i+behind]+0.1*random.NormFloat64())
		}
		s, err := series.New(name, series.Speed, time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC), t, v)
		if err != nil {
			panic(err)
		}
		return s
	}
	r, err := clock.FromSharedQuantity(record("phone", 0), record("logger", 94), clock.DefaultOptions())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.OffsetEstimate("the logger"))
	// Output:
	// offset of the clock of the logger: 93.71 s (95 %: 92.72 to 94.70 s, from the likelihood)
}

// Both watches were read at a departure and at an arrival.
func ExampleFromEvents() {
	day := time.Date(2026, 6, 14, 0, 0, 0, 0, time.UTC)
	phone := []time.Time{day.Add(13*time.Hour + 40*time.Minute + 10*time.Second), day.Add(14*time.Hour + 30*time.Minute + 5*time.Second)}
	logger := []time.Time{day.Add(13*time.Hour + 38*time.Minute + 36*time.Second), day.Add(14*time.Hour + 28*time.Minute + 31*time.Second)}
	r, err := clock.FromEvents(phone, logger, clock.DefaultEvents())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r)
	// Output:
	// offset +94.0 s (95 %: +93.0 s to +95.0 s), by sync events
}
