package sensor_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	. "github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// IAPWS-IF97 (2007), tables 35 and 36 (from memory; the same digits are given
// by python3-iapws, see the next test).
func TestSaturationPublished(t *testing.T) {
	for _, c := range []struct{ mpa, kelvin float64 }{{0.1, 372.755919}, {1, 453.035632}, {10, 584.149488}} {
		got, err := SaturationTemperature(quantity.Pressure(c.mpa) * quantity.Megapascal)
		if err != nil || math.Abs(got.Kelvin()-c.kelvin) > 0.6e-6 {
			t.Errorf("T_s(%v MPa) = %.7f K %v, want %v", c.mpa, got.Kelvin(), err, c.kelvin)
		}
	}
	for _, c := range []struct{ kelvin, mpa float64 }{{300, 0.353658941e-2}, {500, 0.263889776e1}, {600, 0.123443146e2}} {
		got, err := SaturationPressure(quantity.Kelvin(c.kelvin))
		if err != nil || math.Abs(got.Megapascals()/c.mpa-1) > 5e-9 {
			t.Errorf("p_s(%v K) = %.9g MPa %v, want %v", c.kelvin, got.Megapascals(), err, c.mpa)
		}
	}
}

// testdata/if97_saturation.csv is written by the script beside it with
// Debian's python3-iapws.
func TestSaturationAgainstIapws(t *testing.T) {
	f, err := os.Open("testdata/if97_saturation.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 100 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, r := range rows[1:] {
		x, _ := strconv.ParseFloat(r[1], 64)
		want, _ := strconv.ParseFloat(r[2], 64)
		var got float64
		if r[0] == "p_of_T/K" {
			p, err := SaturationPressure(quantity.Kelvin(x))
			if err != nil {
				t.Fatal(err)
			}
			got = p.Megapascals()
		} else {
			k, err := SaturationTemperature(quantity.Pressure(x) * quantity.Megapascal)
			if err != nil {
				t.Fatal(err)
			}
			got = k.Kelvin()
		}
		if math.Abs(got/want-1) > 2e-9 {
			t.Errorf("%s(%v) = %.12g, iapws %.12g", r[0], x, got, want)
		}
	}
}

func TestSaturationRange(t *testing.T) {
	for _, p := range []float64{0, 1013, math.NaN(), 3e7} { // 1013 for 1013 hPa is within the range and gives 7 °C
		k, err := SaturationTemperature(quantity.Pressure(p))
		if p == 1013 {
			if err != nil || k.Celsius() > 10 {
				t.Errorf("%v %v", k, err)
			}
			continue
		}
		if !errors.Is(err, ErrOutOfRange) || k.IsValid() {
			t.Errorf("%v Pa: %v %v", p, k, err)
		}
	}
}

// Wagner and Pruss (J. Phys. Chem. Ref. Data 22 (1993) 783), an equation of
// another shape (coefficients from memory; the agreement shows that none is
// wrong): ln(p/p_c) = T_c/T·(a₁θ + a₂θ^1.5 + a₃θ³ + a₄θ^3.5 + a₅θ⁴ + a₆θ^7.5).
func TestSaturationAgainstWagnerAndPruss(t *testing.T) {
	for c := 5.0; c <= 120; c += 5 {
		k := 273.15 + c
		x := 1 - k/647.096
		want := 22.064e6 * math.Exp(647.096/k*(-7.85951783*x+1.84408259*math.Pow(x, 1.5)-11.7866497*math.Pow(x, 3)+22.6807411*math.Pow(x, 3.5)-15.9618719*math.Pow(x, 4)+1.80122502*math.Pow(x, 7.5)))
		p, err := SaturationPressure(quantity.Celsius(c))
		if err != nil || math.Abs(float64(p)/want-1) > 4e-4 {
			t.Errorf("%v °C: %v, want %v (%v)", c, p, want, err)
		}
		if want < 50e3 || want > 110e3 {
			continue
		}
		if at, err := SaturationTemperature(quantity.Pressure(want)); err != nil || math.Abs(at.Celsius()-c) > 0.02 {
			t.Errorf("%v Pa: %v, want %v °C (%v)", want, at, c, err)
		}
	}
}
