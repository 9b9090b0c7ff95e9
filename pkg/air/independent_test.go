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
