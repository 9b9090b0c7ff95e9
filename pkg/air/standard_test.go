package air_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// U.S. Standard Atmosphere 1976, table I, geometric altitude (from memory,
// recomputed); equal to ISO 2533:1975 here.
func TestStandardAtmosphereTable(t *testing.T) {
	for _, c := range []struct{ metre, kelvin, pascal, density float64 }{
		{0, 288.150, 101325, 1.2250}, {500, 284.900, 95461, 1.1673}, {1000, 281.651, 89876, 1.1117},
		{2000, 275.154, 79501, 1.0066}, {3000, 268.659, 70121, 0.90925},
	} {
		a, err := air.StandardAtGeometric(Length(c.metre))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("temperature ", c.metre), a.Temperature.Kelvin(), c.kelvin, 2e-6)
		within(t, fmt.Sprint("pressure ", c.metre), float64(a.Pressure), c.pascal, 8e-6)
		within(t, fmt.Sprint("density ", c.metre), float64(a.Density), c.density, 5e-5)
	}
}

// python3-fluids' ATMOSPHERE_1976 over the troposphere (testdata), and the
// inverse functions back.
func TestStandardAtmosphereFluids(t *testing.T) {
	for _, r := range published.Table(t, "testdata/atmosphere.csv", 10) {
		a, err := air.StandardAtGeometric(Length(r[0]))
		if err != nil {
			t.Fatal(err)
		}
		where := fmt.Sprint(r[0], " m ")
		within(t, where+"temperature", a.Temperature.Kelvin(), r[1], 1e-9)
		within(t, where+"pressure", float64(a.Pressure), r[2], 2e-6)
		within(t, where+"density", float64(a.Density), r[3], 2e-6)
		within(t, where+"geopotential", float64(a.Geopotential), r[4], 1e-9)
		for name, inverse := range map[string]func() (air.StandardAtmosphere, error){
			"pressure": func() (air.StandardAtmosphere, error) { return air.StandardAtPressure(a.Pressure) },
			"density":  func() (air.StandardAtmosphere, error) { return air.StandardAtDensity(a.Density) },
		} {
			b, err := inverse()
			if err != nil || math.Abs(float64(b.Geometric)-r[0]) > 1e-6 {
				t.Errorf("%sback from %s: %v, %v", where, name, b.Geometric, err)
			}
		}
	}
}

func TestStandardAtmosphereRange(t *testing.T) {
	for _, h := range []float64{-2001, 11001, math.NaN(), math.Inf(1)} {
		if a, err := air.StandardAtGeopotential(Length(h)); !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(float64(a.Density)) {
			t.Errorf("%v m: %v, %v", h, a, err)
		}
	}
	if _, err := air.StandardAtPressure(1013.25); !errors.Is(err, air.ErrOutOfRange) || !contains(err, "did you mean 1013.25 hPa?") {
		t.Error(err)
	}
	for _, p := range []float64{-5, 0, math.NaN()} {
		if a, err := air.StandardAtPressure(Pressure(p)); !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(float64(a.Geometric)) {
			t.Errorf("%v Pa: %v, %v", p, a, err)
		}
	}
}

// For a QNH of 1013.25 hPa the station pressure is the standard atmosphere's:
// by geopotential height 989.45, 954.61, 898.75, 794.95 hPa at 200, 500, 1000,
// 2000 m; a map's metres differ by less than 0.06 %. QNH 1020 at 500 m is
// 960.97 hPa by the ratio rule, which this differs from by less than 0.1 hPa.
func TestStationPressure(t *testing.T) {
	for _, c := range []struct{ qnh, metre, want, tolerance float64 }{
		{1013.25, 0, 1013.25, 1e-12}, {1013.25, 200, 989.45, 1e-5}, {1013.25, 500, 954.61, 1e-5},
		{1013.25, 1000, 898.75, 3e-5}, {1013.25, 2000, 794.95, 1e-4}, {1020, 500, 960.97, 1.1e-4},
	} {
		p, err := air.StationPressure(Pressure(c.qnh)*Hectopascal, Length(c.metre))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c), p.Hectopascals(), c.want, c.tolerance)
		back, err := air.QNH(p, Length(c.metre))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("back ", c), back.Hectopascals(), c.qnh, 1e-12)
	}
}

func TestStationPressureRefuses(t *testing.T) {
	if p, err := air.StationPressure(1013, 100); !contains(err, "did you mean 1013 hPa?") || !math.IsNaN(float64(p)) {
		t.Errorf("%v, %v", p, err)
	}
	if p, err := air.StationPressure(101325, 9000); !contains(err, "ft") || !math.IsNaN(float64(p)) {
		t.Errorf("%v, %v", p, err)
	}
	if q, err := air.QNH(101325, 1000); !contains(err, "already reduced") || !math.IsNaN(float64(q)) {
		t.Errorf("%v, %v", q, err)
	}
}
