package air_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Stull's fit of the wet bulb (J. Appl. Meteorol. Climatol. 50 (2011) 2267),
// made for 1013.25 hPa, stated good to −1.0 °C and +0.65 °C; compared up to 30 °C
// (hot dry air comes to +0.75 °C at 40 °C). Its own example:
// 20 °C and 50 % give 13.7 °C.
func TestWetBulbAgainstStull(t *testing.T) {
	stull := func(c, h float64) float64 {
		return c*math.Atan(0.151977*math.Sqrt(h+8.313659)) + math.Atan(c+h) - math.Atan(h-1.676331) + 0.00391838*math.Pow(h, 1.5)*math.Atan(0.023101*h) - 4.686035
	}
	if x := stull(20, 50); math.Abs(x-13.7) > 0.05 {
		t.Fatalf("the fit is not written right: %v", x)
	}
	for _, c := range []float64{5, 10, 20, 30} {
		for _, h := range []float64{20, 40, 60, 80, 95} {
			s, err := air.NewState(1013.25*Hectopascal, Celsius(c), RelativeHumidity(h)*PercentHumidity)
			if err != nil {
				t.Fatal(err)
			}
			wet, err := air.WetBulb(s)
			if err != nil {
				continue // wet bulb below freezing
			}
			if d := stull(c, h) - wet.Celsius(); d < -1.0 || d > 0.65 {
				t.Errorf("%v °C, %v %%: %v, Stull %+.2f", c, h, wet, d)
			}
		}
	}
}

// WMO's psychrometer formula and the thermodynamic wet bulb are laws of
// different shape for nearly the same thing: a well-aspirated wet bulb lies
// within a few tenths of a kelvin of the thermodynamic one, 2 % of humidity.
func TestPsychrometerAgainstThermodynamicWetBulb(t *testing.T) {
	for _, c := range []float64{10, 20, 30} {
		for _, h := range []float64{0.3, 0.5, 0.8} {
			s, err := air.NewState(1000*Hectopascal, Celsius(c), RelativeHumidity(h))
			if err != nil {
				t.Fatal(err)
			}
			wet, err := air.WetBulb(s)
			if err != nil {
				t.Fatal(err)
			}
			e, err := air.PsychrometerVapourPressure(s.Pressure, s.Temperature, wet)
			if err != nil {
				t.Fatal(err)
			}
			full, err := air.SaturationVapourPressure(s.Temperature)
			if err != nil {
				t.Fatal(err)
			}
			if d := float64(e/full) - h; math.Abs(d) > 0.02 {
				t.Errorf("%v °C, %v: off by %+.3f", c, h, d)
			}
		}
	}
}

// International Standard Atmosphere as engineeringtoolbox.com prints it: metres,
// K, bar, density over 1.225 kg/m³.
func TestStandardAtmospherePrinted(t *testing.T) {
	for _, r := range [][4]float64{
		{-1000, 294.7, 1.1393, 1.0996}, {-500, 291.4, 1.0748, 1.0489}, {500, 284.9, 0.9546, 0.9529}, {1000, 281.7, 0.8988, 0.9075},
		{2000, 275.2, 0.7950, 0.8217}, {3000, 268.7, 0.7012, 0.7423}, {5000, 255.7, 0.5405, 0.6012},
	} {
		s, err := air.StandardAtGeometric(Length(r[0]))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(s.Temperature.Kelvin()-r[1]) > 0.06 || math.Abs(float64(s.Pressure)/1e5-r[2]) > 6e-5 || math.Abs(float64(s.Density)/1.225-r[3]) > 6e-5 {
			t.Errorf("%v m: %v", r[0], s)
		}
		back, err := air.StandardAtPressure(Pressure(r[2] * 1e5))
		if err != nil {
			t.Fatal(err)
		}
		if z := air.GeometricFromGeopotential(back.Geopotential); math.Abs(float64(z)-r[0]) > 1 {
			t.Errorf("%v bar: %v m, printed %v", r[2], float64(z), r[0])
		}
		dry, err := air.DryDensity(s.Pressure, s.Temperature)
		if err != nil || math.Abs(float64(dry)/1.225-r[3]) > 6e-5 {
			t.Errorf("%v m: density %v (%v), printed %v of 1.225", r[0], dry, err, r[3])
		}
	}
}

// The dew point in closed form from Magnus' formula (WMO-No. 8, 2014):
// t_d = 243.12·g/(17.62 − g), g = ln(RH) + 17.62·t/(243.12 + t).
func TestDewPointAgainstMagnus(t *testing.T) {
	for _, c := range []float64{5, 15, 25, 40} {
		for _, h := range []float64{0.2, 0.5, 0.9} {
			got, err := air.DewPoint(Celsius(c), RelativeHumidity(h))
			if err != nil {
				t.Fatal(err)
			}
			g := math.Log(h) + 17.62*c/(243.12+c)
			if want := 243.12 * g / (17.62 - g); math.Abs(got.Celsius()-want) > 0.12 {
				t.Error(fmt.Sprint(c, " °C, ", h, ": ", got, ", want ", want))
			}
		}
	}
}
