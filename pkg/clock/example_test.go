package clock_test

import (
	"fmt"
	"log"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// Both of the demo's loggers have a probe in the intake: the same air tells
// how far their clocks are apart. The truth of this drive is 47 s.
func ExampleEstimate() {
	a, err := recording.Open("../../testdata/demo/open-1-logger-a.csv", recording.Options{})
	if err != nil {
		log.Fatal(err)
	}
	b, err := recording.Open("../../testdata/demo/open-1-logger-b.txt", recording.Options{})
	if err != nil {
		log.Fatal(err)
	}
	intakeA, err := a.Column("T2")
	if err != nil {
		log.Fatal(err)
	}
	intakeB, err := b.Column("K1")
	if err != nil {
		log.Fatal(err)
	}
	r, err := clock.Estimate(
		[]clock.Channel{{Series: intakeA.Series, Kind: clock.AirTemperature, Place: "intake"}},
		[]clock.Channel{{Series: intakeB.Series, Kind: clock.AirTemperature, Place: "intake"}}, clock.DefaultOptions())
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("by", r.Method)
	fmt.Println("holds the truth:", r.Interval.Contains(47))
	// Output:
	// by shared quantity
	// holds the truth: true
}

// Two people noted when the lamp went on, each on one clock.
func ExampleFromEvents() {
	at := func(h, m, s int) time.Time { return time.Date(2026, 5, 3, h, m, s, 0, time.UTC) }
	r, err := clock.FromEvents(
		[]time.Time{at(10, 0, 12), at(10, 30, 12)},
		[]time.Time{at(9, 59, 30), at(10, 29, 29)}, clock.Events{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(r)
	// Output:
	// offset +42.5 s (95 %: +41.5 s to +43.5 s), by sync events
}
