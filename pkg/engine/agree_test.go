package engine_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Three bodies wrote three formulas of different shape for one thing. Between
// two states of air in the window that all share, what they say of the change
// of power agrees: ISO 1585 and SAE J1349 within 0.5 % of power, DIN 70020,
// which has no humidity and no friction in it, with either within 2.5 %.
func TestStandardsAgree(t *testing.T) {
	for _, pascal := range []float64{93e3, 96e3, 99e3, 102e3} {
		for _, celsius := range []float64{15, 20, 25, 30, 35} {
			from, to := dryAir(t, 99e3, 25), dryAir(t, pascal, celsius)
			change := map[engine.Standard]float64{}
			for _, s := range engine.Standards() {
				before, err := s.Factor(from)
				if err != nil {
					t.Fatal(err)
				}
				after, err := s.Factor(to)
				if err != nil {
					t.Fatal(err)
				}
				change[s] = before.Value/after.Value - 1
			}
			for _, c := range []struct {
				a, b   engine.Standard
				within float64
			}{{engine.ISO1585, engine.SAEJ1349, 0.005}, {engine.DIN70020, engine.SAEJ1349, 0.025}, {engine.DIN70020, engine.ISO1585, 0.025}} {
				if d := math.Abs(change[c.a] - change[c.b]); d > c.within {
					t.Errorf("%v Pa, %v °C: %v and %v differ by %.4f", pascal, celsius, c.a, c.b, d)
				}
			}
		}
	}
}

// The trade's own forms: cubic feet a minute are cubic inches times rpm times
// efficiency over 3456; mean effective pressure in psi is 150.8 times pound-feet
// over cubic inches (four strokes).
func TestTradeFormsOfDemandAndMeanPressure(t *testing.T) {
	d := engine.Description{Displacement: 350 * CubicInch, Cylinders: 8}
	for _, rpm := range []float64{2000, 5500} {
		q, err := d.AirDemand(RotationalSpeed(rpm)*RevolutionPerMinute, 0.8)
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("cubic feet a minute at ", rpm), float64(q)*60/math.Pow(float64(Foot), 3), 350*rpm*0.8/3456, 1e-6*rpm)
	}
	p, err := d.MeanEffectivePressure(300 * PoundForceFoot)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "psi", p.PoundsPerSquareInch(), 150.8*300/350, 0.01)
}

// octaneOf returns the octane number of a delay, found from AutoignitionDelay
// itself.
func octaneOf(t *testing.T, delay float64, p Pressure, at Temperature) float64 {
	t.Helper()
	low, high := 60.0, 120.0
	for range 60 {
		octane := (low + high) / 2
		d, err := engine.AutoignitionDelay(octane, p, at)
		if err != nil {
			t.Fatal(err)
		}
		if d < delay {
			low = octane
		} else {
			high = octane
		}
	}
	return low
}

// The delay's law is unchecked and never more than an outer bound: the octane
// number that gives the same delay in warmer air, found from AutoignitionDelay
// itself, is KnockShift's Bound, and what is stated stays below it, from a
// quarter to two thirds at most.
func TestUncheckedDelayIsOnlyABound(t *testing.T) {
	model := engine.DefaultKnockModel()
	k, err := engine.ShiftOfKnock(Celsius(30), Celsius(60), model)
	if err != nil {
		t.Fatal(err)
	}
	heat := math.Pow(model.PressureRatio, (model.Index-1)/model.Index)
	const p = 40 * StandardAtmosphere
	cold, err := engine.AutoignitionDelay(model.Octane, p, Kelvin(303.15*heat))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "bound", k.Bound, octaneOf(t, cold, p, Kelvin(333.15*heat))-model.Octane, 1e-6)
	if !(k.Octane.Interval.High < 2*k.Bound/3 && k.Octane.Interval.Low < k.Bound/4) {
		t.Errorf("stated %v, bound %v", k.Octane, k.Bound)
	}
	progress, err := engine.LivengoodWu(model.Octane, []float64{0, cold}, []Pressure{p, p}, []Temperature{Kelvin(333.15 * heat), Kelvin(333.15 * heat)})
	if err != nil || progress <= 1 {
		t.Errorf("warmer air must knock sooner: %v, %v", progress, err)
	}
}
