package segment

import (
	"cmp"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Tolerances say how far two stretches may differ and still be alike.
type Tolerances struct {
	Speed            quantity.Speed  // difference of mean speeds
	DurationRatio    float64         // longer over shorter
	TimeSinceOpening float64         // s; ignored where unknown
	Distance         quantity.Length // between midpoints, with GPS on both
}

// DefaultTolerances returns tolerances for one road driven twice.
func DefaultTolerances() Tolerances {
	return Tolerances{Speed: 10 * quantity.KilometrePerHour, DurationRatio: 3, TimeSinceOpening: 900, Distance: 500 * quantity.Metre}
}

// Pair is two like stretches of two drives.
type Pair struct {
	A, B Segment
	// Cost is the sum of differences in units of the tolerances, each at most
	// 1: 0 is equal, 4 the most.
	Cost float64
}

// Match pairs like stretches: each at most once, cheapest pairs first, in the
// order of a's stretches. Only stretches of the same kind and the same marks
// are paired; unknown stretches never are.
func Match(a, b []Segment, tolerances Tolerances) []Pair {
	type candidate struct {
		i, j int
		cost float64
	}
	var all []candidate
	for i, p := range a {
		for j, q := range b {
			if cost, alike := p.cost(q, tolerances); alike {
				all = append(all, candidate{i, j, cost})
			}
		}
	}
	slices.SortStableFunc(all, func(p, q candidate) int { return cmp.Compare(p.cost, q.cost) })
	usedA, usedB := map[int]bool{}, map[int]bool{}
	var chosen []candidate
	for _, c := range all {
		if !usedA[c.i] && !usedB[c.j] {
			usedA[c.i], usedB[c.j] = true, true
			chosen = append(chosen, c)
		}
	}
	slices.SortFunc(chosen, func(p, q candidate) int { return cmp.Compare(p.i, q.i) })
	pairs := make([]Pair, 0, len(chosen))
	for _, c := range chosen {
		pairs = append(pairs, Pair{a[c.i], b[c.j], c.cost})
	}
	return pairs
}

// cost returns how far two stretches differ, and whether they are alike.
func (s Segment) cost(o Segment, tol Tolerances) (float64, bool) {
	if s.Kind != o.Kind || s.Kind == Unknown || s.WarmUp != o.WarmUp || s.HeatSoak != o.HeatSoak || s.Settled != o.Settled {
		return 0, false
	}
	terms := []float64{
		math.Abs(float64(s.MeanSpeed-o.MeanSpeed)) / float64(tol.Speed),
		math.Abs(math.Log(s.Interval.Duration()/o.Interval.Duration())) / math.Log(tol.DurationRatio),
	}
	if d := math.Abs(s.TimeSinceOpening - o.TimeSinceOpening); !math.IsNaN(d) {
		terms = append(terms, d/tol.TimeSinceOpening)
	}
	if d := midpointDistance(s, o); !math.IsNaN(d) {
		terms = append(terms, d/tol.Distance.Metres())
	}
	sum := 0.0
	for _, x := range terms {
		if !(x <= 1) {
			return 0, false
		}
		sum += x
	}
	return sum, true
}

// midpointDistance returns the distance in metres between the middles of the
// straight lines from end to end, NaN without positions.
func midpointDistance(s, o Segment) float64 {
	if s.From == nil || s.To == nil || o.From == nil || o.To == nil {
		return math.NaN()
	}
	mid := func(a, b quantity.Angle) float64 { return (a.Radians() + b.Radians()) / 2 }
	lat1, lat2 := mid(s.From.Latitude, s.To.Latitude), mid(o.From.Latitude, o.To.Latitude)
	dLon := mid(s.From.Longitude, s.To.Longitude) - mid(o.From.Longitude, o.To.Longitude)
	x, y := dLon*math.Cos((lat1+lat2)/2), lat1-lat2
	return earthRadius * math.Hypot(x, y)
}
