package roadload

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// receiver is what lies between a car and its trace of one speed a second:
// noise of 0.2 m/s with a memory, and a filter that lags, both in seconds.
type receiver struct{ memory, lag float64 }

// pulled simulates one pull of the saloon by small steps, apart from the
// package's integration, and returns the time that the trace shows.
func (r receiver) pulled(t *testing.T, e Experiment, power, wind float64, rng *rand.Rand) float64 {
	t.Helper()
	const step = 0.01
	mass := float64(e.Vehicle.Mass) * (1 + e.Vehicle.RotatingInertia)
	trace := &series.Series{Name: "speed", Dimension: series.Speed}
	v := 0.6 * float64(e.From)
	shown, noise, next := v, 0.2*rng.NormFloat64(), rng.Float64()
	for at, beyond := 0.0, 0.0; beyond < 3; at += step {
		if at >= next {
			trace.Time, trace.Value = append(trace.Time, next), append(trace.Value, shown+noise)
			next++
			keep := 0.0
			if r.memory > 0 {
				keep = math.Exp(-1 / r.memory)
			}
			noise = keep*noise + 0.2*math.Sqrt(1-keep*keep)*rng.NormFloat64()
		}
		v += step * (power/v - e.Load.F0 - e.Load.F2*(v+wind)*(v+wind)) / mass
		shown = v
		if r.lag > 0 { // a ramp lags by its slope times the lag
			shown = v - r.lag*(power/v-e.Load.F0-e.Load.F2*(v+wind)*(v+wind))/mass
		}
		if v > float64(e.To) {
			beyond += step
		}
	}
	found, err := TimesOver(trace, e.From, e.To, IntervalOptions{Dip: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	if len(found) == 0 {
		return math.NaN()
	}
	return found[0].Time.X
}

// What an experiment promises holds on traces of receivers of three kinds, one
// that lags among them, simulated apart: a change of the smallest size is found
// in about 80 of 100 experiments, and one where there is none in 5.
func TestPromiseHoldsOnTraces(t *testing.T) {
	const n, experiments = 4, 200
	e := saloon(n)
	for _, kind := range []receiver{{0, 0}, {2, 0}, {2, 1}} {
		e := e
		if e.NoiseMemory = kind.memory; kind.memory == 0 {
			e.NoiseMemory = math.NaN()
		}
		r, err := e.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(14, 3))
		found := map[bool]int{}
		for range experiments {
			for _, changed := range []bool{false, true} {
				if kind.differs(t, e, r, changed, rng) {
					found[changed]++
				}
			}
		}
		// 80 % ± 2.8, 5 % ± 1.5 (one standard error).
		if p := float64(found[true]) / experiments; p < 0.71 || p > 0.89 {
			t.Errorf("%+v: a change is found in %.2f", kind, p)
		}
		if p := float64(found[false]) / experiments; p > 0.11 {
			t.Errorf("%+v: no change is found in %.2f", kind, p)
		}
	}
}

// differs makes one experiment: pulls in both directions before and after, and
// a t test of the means of each pair.
func (r receiver) differs(t *testing.T, e Experiment, promise Resolution, changed bool, rng *rand.Rand) bool {
	t.Helper()
	n := e.PairsPerConfiguration
	var mean, squares [2]float64
	for side := range 2 {
		gain := 1.0
		if side == 1 && changed {
			gain += promise.Smallest
		}
		for range n {
			pair := 0.0
			for range 2 {
				x := math.NaN()
				for math.IsNaN(x) { // a pull that can't be read is driven again
					power := float64(e.WheelPower) * gain * (1 + 0.01*rng.NormFloat64())
					x = r.pulled(t, e, power, 0.7*rng.NormFloat64(), rng)
				}
				pair += x / 2
			}
			mean[side] += pair / float64(n)
			squares[side] += pair * pair
		}
	}
	pooled := (squares[0] - float64(n)*mean[0]*mean[0] + squares[1] - float64(n)*mean[1]*mean[1]) / float64(2*n-2)
	return math.Abs(mean[0]-mean[1]) > 2.4469*math.Sqrt(pooled*2/float64(n)) // t for 95 %, 6 degrees of freedom
}
