package roadload

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/internal/nonsense"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func TestRoadLoadThatIsNoNumberIsRefused(t *testing.T) {
	car := Vehicle{Mass: 1100}
	speed := &series.Series{Name: "speed", Dimension: series.Speed, Time: []float64{0, 1, 2}, Value: []float64{20, 21, 22}}
	unsure := RoadLoad{F0: 150}
	unsure.Covariance[1][2] = math.NaN()
	for _, l := range []RoadLoad{{F0: math.NaN()}, {F1: math.Inf(1)}, {F2: math.NaN()}, unsure, {F0: -1e9}, {F0: 1e12}, {F1: 1e6}, {F2: -273}, {F0: 150, DegreesOfFreedom: -1},
		{F0: 150, Covariance: [3][3]float64{{-4}}}, {F0: 150, Covariance: [3][3]float64{{4, 9}, {9, 4}}}} {
		if p, err := WheelPower(car, l, 20, 1, 0); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(float64(p)) {
			t.Errorf("%v: %v, %v", l, p, err)
		}
		if _, err := PowerTrace(car, l, speed, DefaultTraceOptions()); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%v: trace: %v", l, err)
		}
		if _, err := l.AtReference(1.2, 1.17, quantity.Celsius(20), quantity.Celsius(20)); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%v: at reference: %v", l, err)
		}
		if _, err := (Experiment{Vehicle: car, Load: l, From: 16, To: 28, WheelPower: 40e3, PairsPerConfiguration: 4}).Resolve(); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%v: experiment: %v", l, err)
		}
	}
}

// A number that can't be, in any field or argument, is refused with the
// reason.
func TestNonsenseIsRefused(t *testing.T) {
	_, clean, _ := coastTable(t)
	car := Vehicle{Mass: 1150, RotatingInertia: 0.03}
	load := RoadLoad{F0: 160, F2: 0.45}
	speed := &series.Series{Name: "speed", Dimension: series.Speed, Time: []float64{0, 1, 2, 3}, Value: []float64{20, 21, 22, 23}}
	refused := func(what, field string, bad float64, err error) {
		t.Helper()
		if !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%s, %s = %v: %v", what, field, bad, err)
		}
	}
	nonsense.Fields(&car, -200, func(field string, bad float64) {
		_, err := FitCoastDown(car, clean, CoastOptions{})
		refused("coast-down", field, bad, err)
		_, err = FromDragArea(car, 0.8, 0.013, 1.2)
		refused("drag area", field, bad, err)
	})
	opt := CoastOptions{}
	nonsense.Fields(&opt, -200, func(field string, bad float64) {
		_, err := FitCoastDown(car, clean, opt)
		refused("options", field, bad, err)
	})
	e := saloon(4)
	nonsense.Fields(&e, -200, func(field string, bad float64) {
		if (field == "WindChange" || field == "PullChange" || field == "NoiseMemory") && math.IsNaN(bad) {
			return // says that there is none
		}
		r, err := e.Resolve()
		refused("experiment", field, bad, err)
		if !math.IsNaN(r.Smallest) {
			t.Errorf("experiment, %s = %v: %v", field, bad, r.Smallest)
		}
	})
	interval := DefaultIntervalOptions()
	nonsense.Fields(&interval, -200, func(field string, bad float64) {
		_, err := TimesOver(speed, 20.5, 22.5, interval)
		refused("interval", field, bad, err)
	})
	trace := DefaultTraceOptions()
	nonsense.Fields(&trace, -200, func(field string, bad float64) {
		_, err := PowerTrace(car, load, speed, trace)
		refused("trace", field, bad, err)
	})
	for _, bad := range nonsense.Numbers(-200) {
		_, err := WheelPower(car, load, quantity.Speed(bad), 0, 0)
		refused("wheel power", "speed", bad, err)
		_, err = WheelPower(car, load, 20, quantity.Acceleration(bad), 0)
		refused("wheel power", "acceleration", bad, err)
		_, err = WheelPower(car, load, 20, 0, bad)
		refused("wheel power", "slope", bad, err)
		_, err = FromDragArea(car, quantity.Area(bad), 0.013, 1.2)
		refused("drag area", "area", bad, err)
		_, err = FromDragArea(car, 0.8, bad, 1.2)
		refused("drag area", "rolling", bad, err)
		_, err = FromDragArea(car, 0.8, 0.013, quantity.Density(bad))
		refused("drag area", "density", bad, err)
		_, err = load.AtReference(1.2, 1.17, quantity.Kelvin(bad), quantity.Celsius(20))
		refused("reference", "temperature", bad, err)
		_, err = load.AtReference(quantity.Density(bad), 1.17, quantity.Celsius(20), quantity.Celsius(20))
		refused("reference", "density", bad, err)
		_, err = TimesOver(speed, quantity.Speed(bad), 22, IntervalOptions{})
		refused("interval", "from", bad, err)
		if !math.IsNaN(bad) { // a slope that is not known
			_, err = PowerTrace(car, load, speed, TraceOptions{Grade: []float64{0, bad, 0, 0}})
			refused("trace", "slope", bad, err)
		}
		run := CoastRun{Time: clean[0].Time, Speed: append([]float64{30, bad}, clean[0].Speed[2:]...)}
		_, err = FitCoastDown(car, []CoastRun{run}, CoastOptions{})
		refused("run", "speed", bad, err)
		run = CoastRun{Time: append([]float64{0, bad}, clean[0].Time[2:]...), Speed: clean[0].Speed}
		_, err = FitCoastDown(car, []CoastRun{run}, CoastOptions{})
		refused("run", "time", bad, err)
	}
	// Steps of microseconds and of days would never end.
	run := CoastRun{Time: append([]float64{0}, clean[0].Time[1:]...), Speed: clean[0].Speed}
	for i := range run.Time {
		run.Time[i] *= 1e6
	}
	_, err := FitCoastDown(car, []CoastRun{run}, CoastOptions{})
	refused("run", "time in microseconds", 1e6, err)
}

// Traces that no receiver writes, and an intake that can't be where it is not asked
// for.
func TestNonsenseTracesAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		at   int
		t, v float64
		want error
	}{
		"a time of NaN": {1, math.NaN(), 21, series.ErrShape}, "a time before the last": {2, -5, 22, series.ErrShape}, "endless time": {3, math.Inf(1), 23, series.ErrShape},
		"faster than sound": {1, 1, 1e12, ErrOutOfRange}, "endless speed": {2, 2, math.Inf(1), ErrOutOfRange}, "backwards": {3, 3, -1e9, ErrOutOfRange},
	} {
		speed := &series.Series{Name: "speed", Dimension: series.Speed, Time: []float64{0, 1, 2, 3}, Value: []float64{20, 21, 22, 23}}
		speed.Time[c.at], speed.Value[c.at] = c.t, c.v
		if _, err := TimesOver(speed, 20.5, 22.5, DefaultIntervalOptions()); !errors.Is(err, c.want) {
			t.Errorf("%s: times: %v", name, err)
		}
		if _, err := PowerTrace(Vehicle{Mass: 1100}, RoadLoad{F0: 150, F2: 0.4}, speed, DefaultTraceOptions()); !errors.Is(err, c.want) {
			t.Errorf("%s: power: %v", name, err)
		}
	}
	outside, err := air.NewState(96e3, quantity.Celsius(12), 0.6)
	if err != nil {
		t.Fatal(err)
	}
	for _, intake := range []air.State{{Pressure: -1, Temperature: quantity.Celsius(40)}, {Pressure: 96e3, Temperature: quantity.Celsius(-300)}} {
		if c, err := Correction(IntakeIsTested, engine.ISO1585, outside, intake); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("intake %v: %v, %v", intake, c, err)
		}
	}
	if _, err := Correction(IntakeIsTested, engine.ISO1585, outside, air.State{}); err != nil {
		t.Errorf("intake not known: %v", err)
	}
}
