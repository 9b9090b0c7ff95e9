package roadload

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func TestRoadLoadThatIsNoNumberIsRefused(t *testing.T) {
	car := Vehicle{Mass: 1100}
	speed := &series.Series{Name: "speed", Dimension: series.Speed, Time: []float64{0, 1, 2}, Value: []float64{20, 21, 22}}
	unsure := RoadLoad{F0: 150}
	unsure.Covariance[1][2] = math.NaN()
	for _, l := range []RoadLoad{{F0: math.NaN()}, {F1: math.Inf(1)}, {F2: math.NaN()}, unsure} {
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
