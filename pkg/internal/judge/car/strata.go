package car

import "math"

// The kinds of driving in which the truth is told, in the order of Strata.
const (
	Standing = iota
	StopAndGo
	RoadSlow
	RoadMiddle
	RoadFast
	FullThrottleKind
	Kinds
)

// KindIDs are stable names of the kinds.
var KindIDs = [Kinds]string{"stopped", "stop_and_go", "road_slow", "road_middle", "road_fast", "full_throttle"}

// Strata gives the kind at each second, -1 where nothing is settled: before
// the valve opened and 180 s after (without a valve: the first 900 s), with
// the engine off, and on the road in the first 60 s after a stop.
//
// Standing is below 1 km/h. Stop-and-go is moving where the three minutes
// around hold at least two stops and less than 25 km/h on average
// (a convention). The road is cut at 60 and 95 km/h by the second's speed.
func Strata(t *Trace) []int {
	n := t.Len()
	kind := make([]int, n)
	from := 900.0
	switch {
	case t.Outcome == Already:
		from = 180
	case t.Outcome == Opened:
		from = t.FirstFlowS + 180
	case t.Outcome == NotReached:
		from = math.Inf(1)
	}
	// Sums over time give three-minute means at once.
	sum, stops := make([]float64, n+1), make([]int, n+1)
	for i, v := range t.SpeedMPS {
		sum[i+1], stops[i+1] = sum[i]+v, stops[i]
		if i > 0 && v < 1/3.6 && t.SpeedMPS[i-1] >= 1/3.6 {
			stops[i+1]++
		}
	}
	lastStop := math.Inf(-1)
	for i, v := range t.SpeedMPS {
		a, b := max(i-90, 0), min(i+90, n)
		crawl := (sum[b]-sum[a])/float64(b-a)*3.6 < 25 && stops[b]-stops[a] >= 2
		kmh := v * 3.6
		if kmh < 1 {
			lastStop = float64(i)
		}
		switch {
		case float64(i) < from || !t.Running[i]:
			kind[i] = -1
		case kmh < 1:
			kind[i] = Standing
		case crawl:
			kind[i] = StopAndGo
		case float64(i)-lastStop < 60:
			kind[i] = -1
		case t.FullThrottle[i]:
			kind[i] = FullThrottleKind
		case kmh < 60:
			kind[i] = RoadSlow
		case kmh < 95:
			kind[i] = RoadMiddle
		default:
			kind[i] = RoadFast
		}
	}
	return kind
}

// Means is a drive's true mean rise in each kind, K; NaN below 10 s of it.
func Means(t *Trace) [Kinds]float64 { return MeansOver(t, Strata(t)) }

// MeansOver is the same over the kinds of another trace's seconds, for two
// drives that differ in heat alone. Seconds that only one of them has are left
// out.
func MeansOver(t *Trace, kinds []int) [Kinds]float64 {
	var sum [Kinds]float64
	var n [Kinds]int
	for i, k := range kinds[:min(len(kinds), t.Len())] {
		if k >= 0 {
			sum[k] += t.RiseK(i)
			n[k]++
		}
	}
	for k := range sum {
		sum[k] /= float64(n[k])
		if n[k] < 10 {
			sum[k] = math.NaN()
		}
	}
	return sum
}
