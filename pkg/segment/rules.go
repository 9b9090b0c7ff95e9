package segment

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Rules are the thresholds of the kinds and marks. Start from [DefaultRules]
// and change single fields. Times are in seconds.
type Rules struct {
	// StopBelow and MoveAbove are the speeds of the hysteresis that tells rest
	// from motion; StopHold is how long rest must last to be a stop.
	StopBelow, MoveAbove quantity.Speed
	StopHold             float64
	// A window of StopAndGoWindow with at least StopAndGoStops stops and a
	// mean speed below StopAndGoBelow is stop-and-go, where the way from stop
	// to stop is itself slower than that.
	StopAndGoWindow float64
	StopAndGoStops  int
	StopAndGoBelow  quantity.Speed
	// Steady motion keeps the acceleration below SteadyAcceleration and the
	// speed's spread below SteadyDeviation for at least SteadyHold.
	SteadyAcceleration quantity.Acceleration
	SteadyDeviation    quantity.Speed
	SteadyHold         float64
	// FullThrottleAbove is the throttle opening (0 to 1) that counts as full, for
	// at least FullThrottleHold. Without a throttle channel a stretch counts as
	// full where that is likely with at least FullThrottleLikely (0.7 is enough for
	// a drive that is cut alone), and as brisk from BriskAbove on, see
	// [Rules.Learn]; FullThrottlePower is the specific power in W/kg below which no
	// stretch is thought of, or 0.48 of the rated power over the car's mass where
	// these are known and that is less.
	FullThrottleAbove  float64
	FullThrottleHold   float64
	FullThrottlePower  float64
	FullThrottleLikely float64
	BriskAbove         float64
	// MinimumDuration is the shortest stretch; shorter ones join a neighbour.
	MinimumDuration float64
	// MaximumGap is the longest gap in the speed that is bridged.
	MaximumGap float64
	// SoakStop is the shortest stop that heats the bay, SoakAfter how long
	// after moving off its heat is still felt.
	SoakStop, SoakAfter float64
	// SettleAfter is how long after opening, or after the begin of a record
	// whose thermostat is open already, nothing counts as settled;
	// SettleDrift is the largest drift of the intake's rise in K/s.
	SettleAfter float64
	SettleDrift float64

	learnt *learnt // nil: nothing yet, see [Rules.Learn]
}

// DefaultRules returns the usual thresholds.
func DefaultRules() Rules {
	return Rules{
		StopBelow: 2 * quantity.KilometrePerHour, MoveAbove: 4 * quantity.KilometrePerHour, StopHold: 3,
		StopAndGoWindow: 180, StopAndGoStops: 2, StopAndGoBelow: 25 * quantity.KilometrePerHour,
		SteadyAcceleration: 0.1 * quantity.MetrePerSecondSquared, SteadyDeviation: 4 * quantity.KilometrePerHour, SteadyHold: 20,
		FullThrottleAbove: 0.9, FullThrottlePower: 20, FullThrottleHold: 3, FullThrottleLikely: 0.9, BriskAbove: 0.2,
		MinimumDuration: 10, MaximumGap: 10,
		SoakStop: 60, SoakAfter: 180, SettleAfter: 180, SettleDrift: 2.0 / 60,
	}
}

// least is the shortest stretch of a kind: full throttle and brisk have their own.
func (r Rules) least(k Kind) float64 {
	if k.hard() {
		return min(r.FullThrottleHold, r.MinimumDuration)
	}
	return r.MinimumDuration
}

func (r Rules) check() error {
	if !(r.StopBelow > 0 && r.MoveAbove >= r.StopBelow) {
		return quantity.OutOfRange("segment rules", "StopBelow", float64(r.StopBelow), 0, float64(r.MoveAbove), quantity.KindSpeed.Shown(), "it must be positive and not above MoveAbove")
	}
	for _, c := range []struct {
		name    string
		seconds float64
		zero    bool // may be 0
	}{
		{"MinimumDuration", r.MinimumDuration, true}, {"MaximumGap", r.MaximumGap, false}, {"StopAndGoWindow", r.StopAndGoWindow, false},
		{"SteadyHold", r.SteadyHold, false}, {"StopHold", r.StopHold, true},
	} {
		if !(c.seconds > 0 || c.zero && c.seconds == 0) {
			return quantity.OutOfRange("segment rules", c.name, c.seconds, 0, math.Inf(1), quantity.KindDuration.SI(), "start from DefaultRules()")
		}
	}
	return nil
}
