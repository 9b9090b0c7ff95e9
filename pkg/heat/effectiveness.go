package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrOutOfRange is [quantity.ErrOutOfRange], kept for code of the first version.
var ErrOutOfRange = quantity.ErrOutOfRange

// Arrangement says how two streams pass each other in a heat exchanger.
type Arrangement int

// The arrangements. A car's radiator is CrossFlowUnmixed.
const (
	CounterFlow       Arrangement = iota
	ParallelFlow                  // both in the same direction
	CrossFlowUnmixed              // fins and tubes keep both streams unmixed
	CrossFlowMinMixed             // the stream of smaller capacity rate is mixed
	CrossFlowMaxMixed             // the stream of larger capacity rate is mixed
)

// EffectivenessFromNTU returns the effectiveness ε = Q/(C_min·(T_hot,in −
// T_cold,in)) of a heat exchanger.
//
// ntu is UA/C_min, at least 0. ratio is C_min/C_max, 0 to 1 (0 for a stream
// that evaporates, or bay air that does not cool). For CrossFlowUnmixed the
// exact series is summed (Mason 1954), not the usual approximation, which
// errs by up to 0.01.
//
// Source: Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, table of
// effectiveness relations (from memory); checked against published examples in
// the tests. Outside the range the result is NaN and the error wraps
// [quantity.ErrOutOfRange].
func EffectivenessFromNTU(a Arrangement, ntu, ratio float64) (float64, error) {
	const function = "heat.EffectivenessFromNTU"
	if !(ntu >= 0) || math.IsInf(ntu, 1) {
		return math.NaN(), quantity.OutOfRange(function, "NTU", ntu, 0, math.Inf(1), quantity.Unit{}, "")
	}
	if !(ratio >= 0 && ratio <= 1) {
		return math.NaN(), quantity.OutOfRange(function, "capacity ratio", ratio, 0, 1, quantity.Unit{}, "the smaller over the larger")
	}
	if ratio < 1e-9 {
		return -math.Expm1(-ntu), nil
	}
	switch a {
	case CounterFlow:
		if ratio > 1-1e-9 {
			return ntu / (1 + ntu), nil
		}
		e := math.Exp(-ntu * (1 - ratio))
		return (1 - e) / (1 - ratio*e), nil
	case ParallelFlow:
		return -math.Expm1(-ntu*(1+ratio)) / (1 + ratio), nil
	case CrossFlowUnmixed:
		return crossFlowUnmixed(ntu, ratio), nil
	case CrossFlowMinMixed:
		return -math.Expm1(math.Expm1(-ratio*ntu) / ratio), nil
	case CrossFlowMaxMixed:
		return -math.Expm1(ratio*math.Expm1(-ntu)) / ratio, nil
	}
	return math.NaN(), quantity.OutOfRange(function, "arrangement", float64(a), float64(CounterFlow), float64(CrossFlowMaxMixed), quantity.Unit{}, "")
}

// crossFlowUnmixed sums Mason's series
//
//	ε = 1/(C·N) Σₙ [1 − e^{−N} Σ_{m≤n} N^m/m!]·[1 − e^{−CN} Σ_{m≤n} (CN)^m/m!].
//
// The brackets are the probabilities that Poisson counts of mean N and CN
// exceed n, so the sum is the mean of the smaller of two such counts: it never
// exceeds CN, and ε never 1. Both brackets are 1 far below the means, and the
// second is 0 far above CN, so that only the part between is summed; for
// N above a million the counts are normal, with an error below 1e-9.
func crossFlowUnmixed(ntu, ratio float64) float64 {
	if ntu == 0 {
		return 0
	}
	x, y := ntu, ratio*ntu
	if x > 1e6 {
		s, m := math.Sqrt(x+y), y-x
		z := m / s
		excess := s*math.Exp(-z*z/2)/math.Sqrt(2*math.Pi) + m*math.Erfc(-z/math.Sqrt2)/2
		return 1 - math.Max(0, excess)/y
	}
	const deviations = 12
	first := math.Max(0, math.Floor(y-deviations*math.Sqrt(y)))
	px, py := poisson(first, x), poisson(first, y)
	moreX, moreY := 1-px, 1-py // probabilities of more than n
	if first == 0 {
		moreX, moreY = -math.Expm1(-x), -math.Expm1(-y)
	}
	sum := first
	for n := first + 1; ; n++ {
		term := moreX * moreY
		sum += term
		if term <= 1e-14*sum && n > y {
			break
		}
		px *= x / n
		py *= y / n
		moreX, moreY = math.Max(0, moreX-px), math.Max(0, moreY-py)
	}
	return math.Min(1, sum/y)
}

// poisson returns the probability of the count n where the mean is x.
func poisson(n, x float64) float64 {
	if n == 0 {
		return math.Exp(-x)
	}
	g, _ := math.Lgamma(n + 1)
	return math.Exp(n*math.Log(x) - x - g)
}

// NTUFromEffectiveness returns the NTU that gives the effectiveness, found by
// bisection. It fails with [quantity.ErrOutOfRange] where no
// NTU up to 100 does.
func NTUFromEffectiveness(a Arrangement, effectiveness, ratio float64) (float64, error) {
	most, err := EffectivenessFromNTU(a, 100, ratio)
	if err != nil {
		return math.NaN(), err
	}
	if !(effectiveness >= 0 && effectiveness <= most) {
		return math.NaN(), quantity.OutOfRange("heat.NTUFromEffectiveness", "effectiveness", effectiveness, 0, most, quantity.Unit{}, "the most for this arrangement and ratio")
	}
	lo, hi := 0.0, 100.0
	for range 100 {
		mid := (lo + hi) / 2
		if e, _ := EffectivenessFromNTU(a, mid, ratio); e < effectiveness {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, nil
}
