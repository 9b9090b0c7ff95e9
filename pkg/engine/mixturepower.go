package engine

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// LambdaRange says where the mixture stood at full throttle before the change:
// λ, the air that there is over the air that the fuel needs.
type LambdaRange struct {
	Low, High float64
	// Measured is set where a probe gave it; else it is a prior.
	Measured bool
}

// String returns the range.
func (l LambdaRange) String() string {
	kind := "taken, not measured"
	if l.Measured {
		kind = "measured"
	}
	return fmt.Sprintf("λ %.2f to %.2f (%s)", l.Low, l.High, kind)
}

// LambdaProbe is how far a λ probe in the exhaust may be off, either way; common
// practice, no source.
const LambdaProbe = 0.01

// ParseLambda reads a measured range, such as "0.82 to 0.88", or one value, which
// gets ± [LambdaProbe].
//
// Other texts are an error that says what it should look like, and a range
// outside 0.7 to 1.15 one that wraps [ErrOutOfRange].
func ParseLambda(text string) (LambdaRange, error) {
	low, high, two := strings.Cut(text, "to")
	l := LambdaRange{Measured: true}
	var err error
	if l.Low, err = strconv.ParseFloat(strings.TrimSpace(low), 64); err == nil {
		if l.High = l.Low; two {
			l.High, err = strconv.ParseFloat(strings.TrimSpace(high), 64)
		} else {
			l.Low, l.High = l.Low-LambdaProbe, l.High+LambdaProbe
		}
	}
	if err != nil {
		return LambdaRange{}, fmt.Errorf("λ %q: want what was measured at full throttle, such as \"0.82 to 0.88\"", text)
	}
	if err := l.check("ParseLambda"); err != nil {
		return LambdaRange{}, err
	}
	return l, nil
}

func (l LambdaRange) check(function string) error {
	if !(l.Low >= leastLambda && l.Low <= l.High && l.High <= mostLambda) {
		bad := l.Low
		if l.Low >= leastLambda && l.Low <= mostLambda {
			bad = l.High
		}
		return rangeError(function, "λ", bad, leastLambda, mostLambda, plain, "low and high in order, such as 0.82 to 0.88; an air–fuel ratio is divided by 14.7 first")
	}
	return nil
}

// UsualLambda is where carburettors of older engines stand at full throttle if
// nobody measured: from richly jetted to a stoichiometric mixture. Common
// practice, no source.
func UsualLambda() LambdaRange { return LambdaRange{Low: 0.80, High: 1.00} }

// Power falls off with the square of the distance from the richest useful
// mixture: P/P_max = 1 − a·((λ − λ_best)/(1 − λ_best))². Handbooks' curves put
// the best between 0.84 and 0.90 and lose a = 3 to 4 % at λ = 1. From memory
// (Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 15; Taylor, The
// Internal Combustion Engine, vol. 2, ch. 1); the rich end since trade texts
// put the best at 12 to 13 of air to fuel.
var (
	bestLambda = [2]float64{0.84, 0.90}
	lossAtOne  = [2]float64{0.03, 0.04}
)

// PowerOfMixture returns what the shift of the mixture alone does to
// full-throttle power if nothing is adjusted: bounds over where the mixture
// stood, over the shift's own span and over the curve of power. Whoever is
// rich gains by a leaner mixture, whoever is lean loses; without a measured λ
// both are possible, and the bounds say so.
//
// It covers 0.7 ≤ λ ≤ 1.15 before and after: leaner mixtures misfire. Outside,
// and for a shift that is not known, it returns an error that wraps
// [quantity.ErrOutOfRange].
func PowerOfMixture(shift MixtureShift, before LambdaRange) (estimate.Estimate, error) {
	const name = "change of full-throttle power by the mixture"
	unknown := estimate.Unknown(name, quantity.KindShare.Shown(), "the mixture's shift or place is not known")
	if err := before.check("PowerOfMixture"); err != nil {
		return unknown, err
	}
	for _, l := range []float64{before.Low * shift.Low, before.High * shift.High} {
		if !(l >= leastLambda && l <= mostLambda) {
			return unknown, fmt.Errorf("engine.PowerOfMixture: %w", quantity.OutOfRange("the mixture", "λ", l, leastLambda, mostLambda, quantity.Unit{}, "engines misfire outside"))
		}
	}
	if !(shift.Ratio >= shift.Low && shift.Ratio <= shift.High) {
		return unknown, rangeError("PowerOfMixture", "shift of the mixture", shift.Ratio, shift.Low, shift.High, plain, "take it from Metering.Shift")
	}
	low, high := math.Inf(1), math.Inf(-1)
	const steps = 20
	for i := range steps + 1 {
		from := before.Low + (before.High-before.Low)*float64(i)/steps
		for _, ratio := range []float64{shift.Low, shift.High} {
			for _, best := range bestLambda {
				for _, loss := range lossAtOne {
					change := powerAt(from*ratio, best, loss)/powerAt(from, best, loss) - 1
					low, high = math.Min(low, change), math.Max(high, change)
				}
			}
		}
	}
	middle := (before.Low + before.High) / 2
	best, loss := (bestLambda[0]+bestLambda[1])/2, (lossAtOne[0]+lossAtOne[1])/2
	return estimate.Within(name, powerAt(middle*shift.Ratio, best, loss)/powerAt(middle, best, loss)-1, quantity.KindShare.Shown(), low, high), nil
}

const leastLambda, mostLambda = 0.7, 1.15

// powerAt is the power over that of the best mixture.
func powerAt(lambda, best, loss float64) float64 {
	x := (lambda - best) / (1 - best)
	return 1 - loss*x*x
}
