package simulate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// A day says what it says of each part, and nothing of one that is zero.
func TestDayInParts(t *testing.T) {
	rise := func(d simulate.Day) (standing, moving float64) {
		h := simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), simulate.Drive(simulate.ValleyRoad(), 1, rand.New(rand.NewPCG(1, 2))), simulate.Conditions{Ambient: 290, Day: d})
		return h.MeanRise(0, 1/3.6), h.MeanRise(70/3.6, 85/3.6)
	}
	standing, moving := rise(simulate.Day{})
	crawlStanding, _ := rise(simulate.Day{Crawling: 1.5})
	if crawlStanding < standing-1e-9 {
		t.Errorf("a day that changes stop-and-go: %.1f K standing, %.1f K on a still one", crawlStanding, standing)
	}
	var warmer simulate.Day
	for i := range warmer.Excess {
		warmer.Excess[i] = 2
	}
	if _, m := rise(warmer); math.Abs(m-moving-2) > 0.2 {
		t.Errorf("2 K of excess: %.2f K, %.2f K without", m, moving)
	}
}

// Drives of an unchanged car scatter as those of an unchanged real car did,
// from which the standard deviations are taken (see DrawDay): 0.9 K above
// 95 km/h, 1.2 K at 60 to 95 km/h, 2 to 3 K below, 7.5 K in stop-and-go, 25 K
// standing. A third to either side is allowed, and six tenths where the car stands:
// a soaked sensor is part of the real number.
func TestDrivesScatterAsARealCar(t *testing.T) {
	const kmh = 1 / 3.6
	bands := []struct{ from, to, want, least, most float64 }{
		{0, 1, 25, 0.4, 1.33}, {1, 30, 7.5, 0.67, 1.33}, {30, 60, 2.5, 0.67, 1.33}, {60, 85, 1.2, 0.67, 1.33}, {86, 200, 0.9, 0.67, 1.33},
	}
	for _, in := range []simulate.Intake{simulate.OpenFilters(), simulate.ColdAirDuct()} {
		values := make([][]float64, len(bands))
		for seed := range uint64(120) {
			random := rand.New(rand.NewPCG(seed, 31))
			h := simulate.Run(simulate.DemoCar(), in, simulate.Drive(simulate.ValleyRoad(), 1, random),
				simulate.Conditions{Ambient: 288 + 10*random.Float64(), Day: simulate.DrawDay(random)})
			for i, b := range bands {
				values[i] = append(values[i], h.MeanRise(b.from*kmh, b.to*kmh))
			}
		}
		for i, b := range bands {
			mean, sd := moments(values[i])
			t.Logf("%s, %g to %g km/h: %.1f K, scatter %.2f K, real %.1f K", in.Name, b.from, b.to, mean, sd, b.want)
			if in.DuctUA == 0 && (sd < b.least*b.want || sd > b.most*b.want) {
				t.Errorf("%g to %g km/h: drives scatter by %.2f K, the real car by %.1f K", b.from, b.to, sd, b.want)
			}
		}
	}
}

func moments(x []float64) (mean, deviation float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		deviation += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(deviation)
}

// A coolant that boils gets no hotter, and the balance still closes.
func TestBoilingEndsTheRise(t *testing.T) {
	c := simulate.DemoCar()
	h := simulate.Run(c, simulate.OpenFilters(), simulate.Drive([]simulate.Leg{{Speed: 60 / 3.6, Distance: 30e3, Grade: 0.12}}, 1, rand.New(rand.NewPCG(1, 1))), simulate.Conditions{Ambient: 303})
	highest := 0.0
	for _, x := range h.Coolant {
		highest = math.Max(highest, x)
	}
	if highest != c.Boiling || math.Abs(h.EnergyError) > 1e-12 {
		t.Errorf("hottest %.2f K, boils at %.2f K; %.2g of the heat unaccounted for", highest, c.Boiling, h.EnergyError)
	}
}
