package estimate

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Interval holds the true value with probability Level. Both ends are in SI,
// Low ≤ High; infinite ends mean that nothing bounds the value on that side,
// NaN that no interval could be given.
type Interval struct {
	Low, High float64
	// Level is the coverage probability, 0.95 for 95 %; 0 where the interval
	// spans bounds or rival formulas and no probability is attached.
	Level float64
}

// NoInterval is the interval of a value about whose uncertainty nothing can
// be said.
func NoInterval() Interval { return Interval{Low: math.NaN(), High: math.NaN()} }

// Known reports whether the interval has two ends, finite or not.
func (i Interval) Known() bool { return i.Low <= i.High }

// Contains reports whether x lies in the interval, ends included.
func (i Interval) Contains(x float64) bool { return x >= i.Low && x <= i.High }

// Width returns High − Low.
func (i Interval) Width() float64 { return i.High - i.Low }

// checkLevel refuses a coverage probability outside 0 < level < 1.
func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return quantity.OutOfRange("estimate", "level", level, 0, 1, quantity.Unit{}, "a coverage probability; 0.95 means 95 %")
	}
	return nil
}
