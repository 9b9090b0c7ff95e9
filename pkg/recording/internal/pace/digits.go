package pace

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

// ClockDigits reports whether all numbers may be times of day written as hhmmss,
// head of which follow one another; in the first hour of a day only if they are
// whole and no seconds.
func ClockDigits(values []float64, head int) bool {
	if len(values) == 0 {
		return false
	}
	early := slices.Max(values) < 10000
	for _, v := range values {
		k := int64(v)
		if v < 0 || k >= 240000 || k%100 >= 60 || k/100%100 >= 60 || early && v != float64(k) {
			return false
		}
	}
	return !early || Sixties(values[:head])
}

// Sixties reports whether numbers that may be times of day written as hhmmss are
// no seconds: where a minute ends they leap by forty more than the clock, by which
// the rows go on as before.
func Sixties(values []float64) bool {
	var steps, turns []float64 // by the clock: all, and those from minute to minute
	for i := 1; i < len(values); i++ {
		step := ofDay(values[i]) - ofDay(values[i-1])
		if step < -12*3600 { // past midnight
			step += 24 * 3600
		}
		steps = append(steps, step)
		if step != values[i]-values[i-1] {
			turns = append(turns, step)
		}
	}
	if len(turns) == 0 || 3*len(turns) > 2*len(steps) {
		return false
	}
	slices.Sort(steps)
	usual, even := steps[len(steps)/2], 0
	for _, step := range turns {
		if step >= 0 && step <= 1.5*usual {
			even++
		}
	}
	return usual > 0 && usual < 40 && 10*even >= 9*len(turns)
}

// ofDay returns the seconds since midnight of a number that is hhmmss.
func ofDay(v float64) float64 {
	k := int64(v)
	return float64(parse.SecondsOfDay(k)) + v - float64(k)
}
