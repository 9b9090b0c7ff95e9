package duct

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrNoBreakEven is wrapped where no break-even exists within the limits.
var ErrNoBreakEven = errors.New("no break-even within the limits")

// BreakEvenDiameter returns the inside diameter at which the duct neither
// gains nor loses full-throttle power at engine speed n, standing still, by
// the central figures: all parts with a diameter are scaled alike. Searched
// between 15 mm and the duct's own; a duct that gains down to 15 mm or loses
// at its own diameter gives NaN and an error that wraps [ErrNoBreakEven].
func (x Installation) BreakEvenDiameter(n quantity.RotationalSpeed) (quantity.Length, error) {
	d, err := x.breakEven("BreakEvenDiameter", n, Installation.ofDiameter)
	return quantity.Length(d), err
}

// BreakEvenDiameterBounds returns it with the bounds of [Point]'s power: from
// the diameter at which the most favourable figures break even to that of the
// least favourable. Where those lose even at the duct's own diameter, the
// upper bound is that diameter, and a warning says so.
//
// Errors are those of [Installation.BreakEvenDiameter].
func (x Installation) BreakEvenDiameterBounds(n quantity.RotationalSpeed) (estimate.Estimate, error) {
	return x.breakEvenBounds("BreakEvenDiameter", "break-even diameter", n, Installation.ofDiameter, quantity.KindLength.Unit("mm"))
}

// BreakEvenLength returns the length of hose, all hoses lengthened alike, at
// which pressure loss and heat pick-up have used up the gain at engine speed
// n, standing still, by the central figures. Searched up to a hundred times
// the duct's own length, 10 m for a hose at most; errors as for
// [Installation.BreakEvenDiameter].
func (x Installation) BreakEvenLength(n quantity.RotationalSpeed) (quantity.Length, error) {
	l, err := x.breakEven("BreakEvenLength", n, Installation.ofLength)
	return quantity.Length(l), err
}

// BreakEvenLengthBounds returns it with the bounds of [Point]'s power: from
// the length at which the least favourable figures break even to that of the
// most favourable. Where a bound lies outside the search, its end is taken,
// and a warning says so.
//
// Errors are those of [Installation.BreakEvenLength].
func (x Installation) BreakEvenLengthBounds(n quantity.RotationalSpeed) (estimate.Estimate, error) {
	return x.breakEvenBounds("BreakEvenLength", "break-even length", n, Installation.ofLength, quantity.KindLength.SI())
}

// What of a point's power must be nothing.
func centrally(p Point) float64 { return p.Power.Value }
func atWorst(p Point) float64   { return p.Power.Interval.Low }
func atBest(p Point) float64    { return p.Power.Interval.High }

// search is a length, in m, that may vary between two ends, and the
// installation that has it.
type search struct {
	low, high float64
	with      func(m float64) Installation
}

// ofDiameter scales all diameters alike.
func (x Installation) ofDiameter() (search, error) {
	own := float64(x.Duct.smallest())
	if math.IsInf(own, 1) {
		return search{}, fmt.Errorf("no part has a diameter: %w", ErrNoBreakEven)
	}
	return search{0.015, own, func(d float64) Installation {
		y := x
		y.Duct = x.Duct.scaled(d / own)
		return y
	}}, nil
}

// ofLength scales all lengths alike.
func (x Installation) ofLength() (search, error) {
	own, longest := 0.0, 0.0
	for _, p := range x.Duct.Parts {
		own += float64(p.Length)
		longest = math.Max(longest, float64(p.Length))
	}
	if !(own > 0) {
		return search{}, fmt.Errorf("no part has a length: %w", ErrNoBreakEven)
	}
	return search{own, own * math.Min(100, 9.999/longest), func(l float64) Installation {
		y := x
		y.Duct = Duct{Name: x.Duct.Name, Parts: slices.Clone(x.Duct.Parts)}
		for i := range y.Duct.Parts {
			y.Duct.Parts[i].Length *= quantity.Length(l / own)
		}
		return y
	}}, nil
}

// searched returns the search of a prepared installation.
func (x Installation) searched(function string, along func(Installation) (search, error)) (search, error) {
	x, err := x.prepared()
	if err != nil {
		return search{}, err
	}
	s, err := along(x)
	if err != nil {
		return s, fmt.Errorf("duct.%s: %w", function, err)
	}
	return s, nil
}

// breakEven returns the length in m at which the central figures' power is
// nothing.
func (x Installation) breakEven(function string, n quantity.RotationalSpeed, along func(Installation) (search, error)) (float64, error) {
	s, err := x.searched(function, along)
	if err != nil {
		return math.NaN(), err
	}
	return x.centre(function, n, s)
}

// centre is where the central figures break even.
func (x Installation) centre(function string, n quantity.RotationalSpeed, s search) (float64, error) {
	m, err := bisect(s.low, s.high, s.gain(n, centrally))
	if err != nil {
		return math.NaN(), fmt.Errorf("duct.%s at %v, own smallest diameter %.0f mm: %w", function, n, x.Duct.smallest().Millimetres(), err)
	}
	return m, nil
}

// gain returns of a point's power over a length.
func (s search) gain(n quantity.RotationalSpeed, of func(Point) float64) func(m float64) (float64, error) {
	return func(m float64) (float64, error) {
		p, err := s.with(m).at(n, 0)
		if errors.Is(err, ErrOutOfRange) && m < s.high {
			return math.Inf(-1), nil // faster than 100 m/s: hopeless
		}
		return of(p), err
	}
}

func (x Installation) breakEvenBounds(function, name string, n quantity.RotationalSpeed, along func(Installation) (search, error), unit quantity.Unit) (estimate.Estimate, error) {
	s, err := x.searched(function, along)
	if err != nil {
		return estimate.Unknown(name, unit, "no break-even"), err
	}
	value, err := x.centre(function, n, s)
	if err != nil {
		return estimate.Unknown(name, unit, "no break-even"), err
	}
	var bounds [2]float64
	var missing []estimate.Warning
	for i, side := range []struct {
		of   func(Point) float64
		says string
	}{{atWorst, "by the least favourable figures"}, {atBest, "by the most favourable figures"}} {
		bounds[i], err = bisect(s.low, s.high, s.gain(n, side.of))
		if errors.Is(err, ErrNoBreakEven) {
			missing = append(missing, estimate.Warning{Kind: estimate.OutsideRange, Subject: name,
				Text: fmt.Sprintf("%s there is none between %.3g m and %.3g m: this bound is the search's end", side.says, s.low, s.high)})
		} else if err != nil {
			return estimate.Unknown(name, unit, "an input is not valid"), err
		}
	}
	return estimate.Within(name, value, unit, min(value, bounds[0], bounds[1]), max(value, bounds[0], bounds[1])).Warn(missing...), nil
}

// bisect returns where f, the gain in power, changes its sign. Where it does
// not, it returns the end at which it comes nearest and an error that wraps
// [ErrNoBreakEven].
func bisect(low, high float64, f func(float64) (float64, error)) (float64, error) {
	atLow, err := f(low)
	if err != nil {
		return math.NaN(), err
	}
	atHigh, err := f(high)
	if err != nil {
		return math.NaN(), err
	}
	if !(atLow*atHigh < 0) {
		nearest := low
		if math.Abs(atHigh) < math.Abs(atLow) {
			nearest = high
		}
		return nearest, fmt.Errorf("power changes by %+.2f %% and %+.2f %% at the ends, %.4g and %.4g of the search: %w", 100*atLow, 100*atHigh, low, high, ErrNoBreakEven)
	}
	for range 60 {
		mid := (low + high) / 2
		y, err := f(mid)
		if err != nil {
			return math.NaN(), err
		}
		if (y < 0) == (atLow < 0) {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2, nil
}

func (d Duct) smallest() quantity.Length {
	least := quantity.Length(math.Inf(1))
	for _, p := range d.Parts {
		if p.Diameter > 0 {
			least = min(least, p.Diameter)
		}
	}
	return least
}

func (d Duct) scaled(factor float64) Duct {
	r := Duct{Name: d.Name, Parts: slices.Clone(d.Parts)}
	for i := range r.Parts {
		r.Parts[i].Diameter *= quantity.Length(factor)
	}
	return r
}
