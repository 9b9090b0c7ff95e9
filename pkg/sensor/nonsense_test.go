package sensor_test

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/nonsense"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	. "github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Numbers that can't be are refused with the reason by every function that can
// refuse.
func TestNonsenseIsRefused(t *testing.T) {
	s := &series.Series{Name: "probe", Dimension: series.Temperature, Time: []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, Value: make([]float64, 12)}
	for i := range s.Value {
		s.Value[i] = 300 + float64(i)
	}
	for _, bad := range nonsense.Numbers(-7) {
		for what, err := range map[string]error{
			"type K voltage":       second(TypeKVoltage(quantity.Kelvin(bad))),
			"type K sensitivity":   second(TypeKSensitivity(quantity.Kelvin(bad))),
			"type K temperature":   second(TypeKTemperature(Voltage(bad))),
			"cold junction":        second(ColdJunction(3*Millivolt, quantity.Kelvin(bad))),
			"its voltage":          second(ColdJunction(Voltage(bad), quantity.Celsius(20))),
			"tolerance":            second(Class2.Tolerance(quantity.Kelvin(bad))),
			"class":                second(Class2.StandardUncertainty(quantity.Kelvin(bad))),
			"boiling point":        second(SaturationTemperature(quantity.Pressure(bad))),
			"saturation pressure":  second(SaturationPressure(quantity.Kelvin(bad))),
			"boiling at":           second(BoilingPoint(Settled{Mean: quantity.Celsius(99)}, quantity.Pressure(bad), 100)),
			"boiling, uncertainty": second(BoilingPoint(Settled{Mean: quantity.Celsius(99)}, 1e5, quantity.Pressure(bad))),
			"lag":                  third(CorrectLag(s, bad, DefaultLagOptions())),
		} {
			if !errors.Is(err, ErrOutOfRange) {
				t.Errorf("%s of %v: %v", what, bad, err)
			}
		}
		for _, x := range []struct {
			b                Bead
			air, wall, speed float64
		}{
			{Bead{Diameter: quantity.Length(bad)}, 300, 400, 5}, {Bead{Diameter: 1e-3, Emissivity: bad}, 300, 400, 5}, {Bead{Diameter: 1e-3, HeatCapacity: bad}, 300, 400, 5},
			{Bead{Diameter: 1e-3}, bad, 400, 5}, {Bead{Diameter: 1e-3}, 300, bad, 5}, {Bead{Diameter: 1e-3}, 300, 400, bad},
		} {
			r, err := x.b.InAir(quantity.Kelvin(x.air), quantity.Speed(x.speed), quantity.Kelvin(x.wall))
			if !errors.Is(err, ErrOutOfRange) || !math.IsNaN(r.TimeConstant) || r.ErrorBounds.Known() {
				t.Errorf("bead %+v: %+v, %v", x, r, err)
			}
		}
		if _, err := Calibrate(FixedPoint{True: quantity.Celsius(0), Reading: quantity.Kelvin(bad)}); err == nil {
			t.Errorf("calibration by a reading of %v", bad)
		}
		if math.IsNaN(bad) || math.IsInf(bad, 0) {
			if _, err := Calibrate(FixedPoint{True: quantity.Celsius(0), Reading: quantity.Celsius(1), ReadingUncertainty: quantity.KelvinDifference(bad)}); err == nil {
				t.Errorf("calibration with an uncertainty of %v", bad)
			}
		}
	}
}

func second[T any](_ T, err error) error        { return err }
func third[T, U any](_ T, _ U, err error) error { return err }
