// Package cycle finds how a thermostat hunts.
package cycle

import (
	"math"
	"slices"
)

// Find returns the median period between maxima and half the median swing,
// NaN and 0 where the swing does not rise above resolution and noise. A
// maximum counts when the temperature has fallen by the threshold since.
func Find(t, s []float64, threshold float64) (period, half float64) {
	var peaks, swings []float64
	rising, extreme, at := true, s[0], 0
	last := s[0]
	for i, y := range s {
		switch {
		case rising && y > extreme, !rising && y < extreme:
			extreme, at = y, i
		case rising && y < extreme-threshold:
			peaks = append(peaks, t[at])
			swings = append(swings, extreme-last)
			last, rising, extreme, at = extreme, false, y, i
		case !rising && y > extreme+threshold:
			swings = append(swings, last-extreme)
			last, rising, extreme, at = extreme, true, y, i
		}
	}
	if len(peaks) < 3 {
		return math.NaN(), 0
	}
	var periods []float64
	for i := 1; i < len(peaks); i++ {
		periods = append(periods, peaks[i]-peaks[i-1])
	}
	slices.Sort(periods)
	slices.Sort(swings)
	period = periods[len(periods)/2]
	if period > 300 { // load and traffic, not the thermostat hunting
		return math.NaN(), 0
	}
	return period, swings[len(swings)/2] / 2
}
