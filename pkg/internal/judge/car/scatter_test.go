package car

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// An unchanged real car's means per drive scatter by 0.9 K above 95 km/h,
// 1.2 K at 60 to 95, 2.9 K below, 1.9 K at full throttle, 7.5 K in stop-and-go
// and 25 K standing (57 drives, published road data of a research institute).
// At the parameter 1.2 K the model's lie within a factor of 1.6 of these, the
// last, which has a soaked sensor in it, within 2.5.
func TestScatterIsThatOfARealCar(t *testing.T) {
	real := [Kinds]float64{25, 7.5, 2.9, 1.2, 0.9, 1.9}
	got := scatter(t, "real scatter", 1.2)
	t.Logf("sd of means per drive, K: %.1f", got)
	for k, want := range real {
		factor := 1.6
		if k == Standing {
			factor = 2.5
		}
		if r := got[k] / want; r > factor || r < 1/factor {
			t.Errorf("%s: sd %.2f K, real %.2f K", KindIDs[k], got[k], want)
		}
	}
}

// The parameter scales the scatter from 0.5 to 6 K.
func TestScatterFollowsItsParameter(t *testing.T) {
	for _, k := range []float64{0.5, 3} {
		if got := scatter(t, "real scatter", k)[RoadMiddle]; got < 0.6*k || got > 1.6*k {
			t.Errorf("asked for %.1f K at 60 to 95 km/h, got %.2f K", k, got)
		}
	}
}

func scatter(t *testing.T, variant string, k float64) [Kinds]float64 {
	t.Helper()
	rng := rand.New(rand.NewPCG(99, 1))
	c, in, err := Draw(variant, rng)
	if err != nil {
		t.Fatal(err)
	}
	var means [Kinds][]float64
	for i := range 80 {
		route, err := road.New([]road.Kind{road.Mixed, road.Town}[i%2], rand.New(rand.NewPCG(4, uint64(i%2))))
		if err != nil {
			t.Fatal(err)
		}
		day := DrawDay(Season{-5, 30}, Scatter{K: k, Common: math.NaN()}, rng)
		o := Run{Car: c, Intake: in, Route: route, Driver: road.DrawDriver(rng), Day: day,
			CoolantC: math.NaN(), IdleS: 60, Seed: uint64(i)}.Do()
		for j, m := range Means(o) {
			if !math.IsNaN(m) {
				means[j] = append(means[j], m)
			}
		}
	}
	var sd [Kinds]float64
	for j, x := range means {
		mean, sum := 0.0, 0.0
		for _, v := range x {
			mean += v / float64(len(x))
		}
		for _, v := range x {
			sum += (v - mean) * (v - mean)
		}
		sd[j] = math.Sqrt(sum / float64(len(x)-1))
	}
	return sd
}
