package air_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func contains(err error, want string) bool {
	return err != nil && strings.Contains(err.Error(), want)
}

// IAPWS-IF97 (python3-iapws, testdata) against the four formulas, with the
// deviations that the documentation states.
func TestSaturationAgainstIF97(t *testing.T) {
	for _, f := range []struct {
		formula   air.SaturationFormula
		tolerance float64
	}{{air.HylandWexler, 3.2e-4}, {air.Buck, 6e-4}, {air.Magnus, 4e-3}, {air.Bolton, 4e-3}} {
		lo, hi := f.formula.Range()
		n := 0
		for _, r := range published.Table(t, "testdata/saturation.csv", 10) {
			k := Kelvin(r[0])
			if k.Compare(lo) < 0 || k.Compare(hi) > 0 {
				continue
			}
			got, err := f.formula.VapourPressure(k)
			if err != nil {
				t.Fatal(err)
			}
			within(t, fmt.Sprint(f.formula, " ", k), float64(got), r[1], f.tolerance)
			n++
		}
		if n < 7 {
			t.Errorf("%v: only %d temperatures compared", f.formula, n)
		}
	}
}

// Bolton at 25 °C: 31.6742944 hPa is the value printed in the documentation of
// MetPy (saturation_vapor_pressure, version 1.4), which used this formula.
// Goff and Gratch's table, WMO 1966 (from memory): −20 °C over water 1.2540
// hPa, −40 °C 0.1891 hPa.
func TestSaturationPrinted(t *testing.T) {
	e, err := air.Bolton.VapourPressure(Celsius(25))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "Bolton 25 °C", float64(e), 3167.42944, 3e-6)
	for _, c := range []struct{ celsius, hectopascal float64 }{{-20, 1.2540}, {-40, 0.1891}} {
		e, err := air.SaturationVapourPressure(Celsius(c.celsius))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("supercooled ", c.celsius), e.Hectopascals(), c.hectopascal, 0.01)
	}
}

// Magnus and Buck worked outside this package.
func TestSaturationFormulasWorked(t *testing.T) {
	for _, c := range []struct {
		f             air.SaturationFormula
		celsius, want float64
		tolerance     float64
	}{
		{air.Magnus, 20, 2332.6, 2.5e-5}, {air.Magnus, 40, 7367.5, 1e-5},
		{air.Buck, 30, 4245.1, 1.5e-5}, {air.Buck, 60, 19945, 3e-5},
		{air.HylandWexler, 30, 4246.0, 1.5e-5}, {air.HylandWexler, 60, 19944, 3e-5},
	} {
		e, err := c.f.VapourPressure(Celsius(c.celsius))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c.f, c.celsius), float64(e), c.want, c.tolerance)
	}
	for _, f := range []air.SaturationFormula{air.Magnus, air.Buck, air.Bolton} {
		if e, err := f.VapourPressure(Celsius(80)); !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(float64(e)) {
			t.Errorf("%v at 80 °C: %v, %v", f, e, err)
		}
	}
}

// Saturation, dew point and wet bulb by psychrolib (testdata), which takes ice
// below 0 °C: only temperatures above are compared.
func TestPsychrolib(t *testing.T) {
	dew, wet := 0, 0
	for _, r := range published.Table(t, "testdata/psychrometrics.csv", 10) {
		s, err := air.NewState(Pressure(r[2]), Celsius(r[0]), RelativeHumidity(r[1]))
		if err != nil {
			t.Fatal(err)
		}
		e, _ := air.SaturationVapourPressure(Celsius(r[0]))
		within(t, fmt.Sprint("saturation", r[:3]), float64(e), r[3], 1e-9)
		if r[4] > 0.1 {
			dew++
			if got := s.DewPoint().Celsius(); math.Abs(got-r[4]) > 0.002 {
				t.Errorf("dew point %v: %v, want %v", r[:3], got, r[4])
			}
		}
		if r[5] > 0.1 {
			wet++
			got, err := air.WetBulb(s)
			if err != nil || math.Abs(got.Celsius()-r[5]) > 0.002 {
				t.Errorf("wet bulb %v: %v, want %v (%v)", r[:3], got.Celsius(), r[5], err)
			}
			back, err := air.NewStateFromWetBulb(s.Pressure, s.Temperature, got)
			if err != nil {
				t.Fatal(err)
			}
			within(t, fmt.Sprint("back from wet bulb", r[:3]), float64(back.VapourPressure), float64(s.VapourPressure), 1e-6)
		}
	}
	if dew < 100 || wet < 140 {
		t.Errorf("compared %d dew points and %d wet bulbs", dew, wet)
	}
}

// psychrolib's documentation of GetTWetBulbFromRelHum and ASHRAE psychrometric
// charts: 25 °C with 18 °C wet bulb at 101.325 kPa is about 50 % (chart 1,
// read to ±2 %). The WMO psychrometer formula must say the same.
func TestPsychrometer(t *testing.T) {
	e, err := air.PsychrometerVapourPressure(101325, Celsius(25), Celsius(18))
	if err != nil {
		t.Fatal(err)
	}
	es, _ := air.SaturationVapourPressure(Celsius(25))
	if h := float64(e / es); math.Abs(h-0.50) > 0.02 {
		t.Errorf("humidity %v, want 0.50", h)
	}
	for _, c := range [][2]float64{{20, 25}, {20, -5}, {50, 5}, {math.NaN(), 5}} {
		if e, err := air.PsychrometerVapourPressure(101325, Celsius(c[0]), Celsius(c[1])); !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(float64(e)) {
			t.Errorf("dry %v wet %v: %v, %v", c[0], c[1], e, err)
		}
	}
}

// Outside air of 15 °C and 80 % carried into a bay of 60 °C keeps 1364 Pa of
// vapour (steam tables: 0.8·1705.8 Pa) and has 1364/19946 = 6.8 % there.
func TestHeatedKeepsVapour(t *testing.T) {
	outside, err := air.NewState(1008*Hectopascal, Celsius(15), 0.8)
	if err != nil {
		t.Fatal(err)
	}
	bay, err := outside.Heated(Celsius(60))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "vapour pressure", float64(bay.VapourPressure), 0.8*1705.8, 5e-4)
	within(t, "humidity", float64(bay.RelativeHumidity()), 0.8*1705.8/19946, 1e-3)
	h, err := air.RelativeHumidityAt(0.8, Celsius(15), Celsius(60))
	if err != nil || h != bay.RelativeHumidity() && math.Abs(float64(h-bay.RelativeHumidity())) > 1e-12 {
		t.Errorf("RelativeHumidityAt: %v, %v", h, err)
	}
	if s, err := outside.Heated(Celsius(5)); !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(float64(s.Pressure)) {
		t.Errorf("cooling below the dew point: %v, %v", s, err)
	}
	dry, _ := air.NewState(100e3, Celsius(20), 0)
	if dry.DewPoint().IsValid() {
		t.Errorf("dry air has dew point %v", dry.DewPoint())
	}
}

// IAPWS-95 (python3-iapws, testdata/saturation95.csv), an equation of another
// shape and other data than IF97, for the default and Buck's formula, and for
// dew points, which invert it.
func TestSaturationAgainstIAPWS95(t *testing.T) {
	for _, r := range published.Table(t, "testdata/saturation95.csv", 10) {
		e, err := air.SaturationVapourPressure(Kelvin(r[0]))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("Hyland and Wexler ", r[0]), float64(e), r[1], 4e-4)
		s := air.State{Pressure: 101325, Temperature: Kelvin(r[0] + 20), VapourPressure: Pressure(r[1])}
		if d := s.DewPoint().Kelvin(); r[1] < 50000 && math.Abs(d-r[0]) > 0.02 {
			t.Errorf("dew point %.3f K, want %.3f", d, r[0])
		}
		for f, tolerance := range map[air.SaturationFormula]float64{air.Buck: 7e-4, air.Magnus: 4e-3, air.Bolton: 4e-3} {
			if e, err := f.VapourPressure(Kelvin(r[0])); err == nil {
				within(t, fmt.Sprint(f, r[0]), float64(e), r[1], tolerance)
			}
		}
	}
}

// An aspirated psychrometer reads nearly the thermodynamic wet bulb, which
// psychrolib works out from enthalpies (testdata): the WMO's formula gives the
// humidity back within 1.5 %.
func TestPsychrometerAgainstWetBulb(t *testing.T) {
	n := 0
	for _, r := range published.Table(t, "testdata/psychrometrics.csv", 10) {
		if r[0] > 45 || r[5] < 0.5 {
			continue
		}
		e, err := air.PsychrometerVapourPressure(Pressure(r[2]), Celsius(r[0]), Celsius(r[5]))
		if err != nil {
			t.Fatal(err)
		}
		if h := float64(e) / r[3]; math.Abs(h-r[1]) > 0.015 {
			t.Errorf("%v: humidity %.3f", r[:3], h)
		}
		n++
	}
	if n < 60 {
		t.Errorf("%d states", n)
	}
}

// Air that can't be is not made good by warming it or by another pressure.
func TestNonsenseIsNotMadeGood(t *testing.T) {
	for _, s := range []air.State{{Pressure: 97e3, Temperature: Celsius(-300), VapourPressure: 900}, {Pressure: 97e3, Temperature: Celsius(math.NaN())}, {Pressure: 97e3}} {
		if hot, err := s.Heated(Celsius(40)); !errors.Is(err, air.ErrOutOfRange) {
			t.Errorf("%v warmed: %v, %v", s, hot, err)
		}
	}
	for _, p := range []Pressure{-97e3, Pressure(math.NaN()), Pressure(math.Inf(1)), 0} {
		if at, err := (air.State{Pressure: p, Temperature: Celsius(20)}).AtPressure(90e3); !errors.Is(err, air.ErrOutOfRange) {
			t.Errorf("from %v Pa: %v, %v", p, at, err)
		}
	}
}
