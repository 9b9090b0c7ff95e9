package engine_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func icing(t *testing.T, s air.State, err error) engine.Icing {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	r, err := engine.AssessIcing(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Every published reading of the chart that was found, with where it is from.
func TestPublishedReadingsOfTheIcingChart(t *testing.T) {
	for _, c := range []struct {
		source           string
		temperature, dew float64
		want             engine.IcingZone
		risk             engine.IcingRisk
	}{
		// "serious icing, descent power": not "all power settings", nor moderate.
		{"quiz on the chart, flynqy.co.uk, 2023", 22, 5, engine.SeriousIcingSmallThrottle, engine.IcingLikely},
		// "moderate icing in cruise and intense icing at reduced throttle".
		{"reading of the report CYHU 281400Z, pilots' newsletter, Quebec", 26, 19, engine.ModerateIcingCruise, engine.IcingLikely},
		// "severe carb icing range", read off "charts and such".
		{"reading of the report KABC 050555Z, pilotsofamerica.com, 2014", 2, 0, engine.SeriousIcingAnyPower, engine.IcingLikely},
		// "a spread lower than 10 °C and less than 15 °C is a positive indication".
		{"flight manual of a light twin, section 3, 5.5", 14.5, 5, engine.ModerateIcingCruise, engine.IcingLikely},
		// "0 °C to 15 °C when the relative humidity is > 50 %": 10 °C and 50 %.
		{"training wiki of flight simulation, Carburator ice", 10, 0.1, engine.SeriousIcingSmallThrottle, engine.IcingLikely},
		// Samples of the outermost curve: inside a little colder, outside warmer.
		{"first sample of the light curve, aviation.stackexchange.com, answer 104145", -13.8, -13.9, engine.LightIcing, engine.IcingPossible},
		{"second sample, a little colder", -0.5, -9.2, engine.LightIcing, engine.IcingPossible},
		{"second sample, warmer than its reading's spread", 1.5, -9.2, engine.NoIcingZone, engine.IcingUnlikely},
	} {
		s, err := air.NewStateFromDewPoint(101325, Celsius(c.temperature), Celsius(c.dew))
		r := icing(t, s, err)
		if r.Reading.Zone != c.want || r.Risk != c.risk {
			t.Errorf("%s: %g °C, dew point %g °C: %v, %v; want %v, %v", c.source, c.temperature, c.dew, r.Reading.Zone, r.Risk, c.want, c.risk)
		}
		if !estimate.Has(r.Warnings, engine.AircraftChart) {
			t.Errorf("%s: does not say that cars differ", c.source)
		}
	}
}

// The published fit worked by hand at dew points of −5, 0 and 5 °C; two of the
// zones do not occur at −5 °C. The fit must also lie near the samples of the
// curve that were published beside it, within the reading's spread.
func TestIcingWarmLimits(t *testing.T) {
	for _, c := range []struct {
		zone engine.IcingZone
		dew  float64
		want float64
	}{
		{engine.LightIcing, -5, 10.1}, {engine.LightIcing, 0, 19.6}, {engine.LightIcing, 5, 27.0},
		{engine.SeriousIcingSmallThrottle, -5, 1.3}, {engine.SeriousIcingSmallThrottle, 0, 15.9}, {engine.SeriousIcingSmallThrottle, 5, 23.2},
		{engine.ModerateIcingCruise, 0, 8.8}, {engine.ModerateIcingCruise, 5, 17.9},
		{engine.SeriousIcingAnyPower, 0, 5.0}, {engine.SeriousIcingAnyPower, 5, 12.7},
	} {
		limit, basis := engine.IcingWarmLimit(c.zone, Celsius(c.dew))
		if basis != engine.IcingByChart || math.Abs(limit.Celsius()-c.want) > 0.051 {
			t.Errorf("%v at %g °C: %v (%v), want %g °C", c.zone, c.dew, limit, basis, c.want)
		}
	}
	for _, z := range []engine.IcingZone{engine.ModerateIcingCruise, engine.SeriousIcingAnyPower} {
		if limit, _ := engine.IcingWarmLimit(z, Celsius(-5)); limit.Celsius() > -5 {
			t.Errorf("%v reaches %v at a dew point of −5 °C", z, limit)
		}
	}
	for _, d := range []float64{-20, 20} {
		if limit, basis := engine.IcingWarmLimit(engine.LightIcing, Celsius(d)); limit.IsValid() || basis != engine.IcingByEnvelope {
			t.Errorf("dew point %g °C: a limit of %v where nothing was read", d, limit)
		}
	}
}

// Corners of the published texts: FAA AC 91-51A (20 °F to 70 °F with RH ≥
// 80 %), PHAK ch. 7 (possible to 100 °F at RH ≥ 50 %), US DOI SA-11-01 (severe
// at 50 °F to 70 °F above 60 %, rare below RH 25 %, possible at 100 °F and
// 50 %), ATSB (up to 32 °C with high humidity).
func TestIcingEnvelope(t *testing.T) {
	for _, c := range []struct {
		fahrenheit, humidity float64
		want                 engine.IcingRisk
	}{
		{50, 0.9, engine.IcingLikely}, {69, 0.8, engine.IcingLikely}, {21, 0.9, engine.IcingLikely},
		{50, 0.61, engine.IcingLikely}, {60, 0.61, engine.IcingLikely}, {70, 0.61, engine.IcingLikely},
		{86, 0.7, engine.IcingPossible}, {100, 0.5, engine.IcingPossible}, {89.6, 0.9, engine.IcingPossible},
		{60, 0.2, engine.IcingUnlikely}, {120, 0.6, engine.IcingUnlikely}, {0, 0.9, engine.IcingUnlikely},
		{95, 0.2, engine.IcingUnlikely},
	} {
		s, err := air.NewState(101325, Fahrenheit(c.fahrenheit), RelativeHumidity(c.humidity))
		if r := icing(t, s, err); r.Risk != c.want {
			t.Errorf("%g °F, %g: %v, want %v", c.fahrenheit, c.humidity, r, c.want)
		}
	}
}

// A limit passed by less than the chart can be read counts as not passed, and
// that is said; where the chart was not read, that is said.
func TestIcingSaysWhatIsNotKnown(t *testing.T) {
	s, err := air.NewStateFromDewPoint(101325, Celsius(20.2), Celsius(0))
	r := icing(t, s, err)
	if r.Reading.Zone != engine.NoIcingZone || r.Risk != engine.IcingPossible || !estimate.Has(r.Warnings, estimate.Ambiguous) || !r.Margin.Interval.Contains(0) {
		t.Errorf("0.6 K beyond the limit: %v, %v, %v", r.Reading, r.Risk, r.Warnings)
	}
	s, err = air.NewStateFromDewPoint(101325, Celsius(33), Celsius(22))
	r = icing(t, s, err)
	if r.Reading.Zone != engine.IcingZoneNotRead || !estimate.Has(r.Warnings, estimate.OutsideRange) || r.Margin.Known() {
		t.Errorf("dew point 22 °C: %v, %v", r.Reading, r.Warnings)
	}
	if _, err := engine.ReadIcingChart(Celsius(5), Celsius(9)); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("dew point above the temperature: %v", err)
	}
}

// More vapour at the same temperature never lowers the risk, up to the dew
// point of the last point read.
func TestIcingRiskGrowsWithVapour(t *testing.T) {
	for temperature := -10.0; temperature <= 36; temperature++ {
		last := engine.IcingUnlikely
		for dew := -16.0; dew <= math.Min(temperature, 19); dew += 0.5 {
			s, err := air.NewStateFromDewPoint(101325, Celsius(temperature), Celsius(dew))
			r := icing(t, s, err)
			if r.Risk < last {
				t.Errorf("%g °C, dew point %g °C: %v after %v", temperature, dew, r.Risk, last)
			}
			last = r.Risk
		}
	}
}

// A cool damp day: hot bay air is safe, the cold-air duct is not, and the
// advice says so.
func TestCompareIcing(t *testing.T) {
	outside, err := air.NewState(101325, Celsius(8), 0.9)
	if err != nil {
		t.Fatal(err)
	}
	hot, err := outside.Heated(Celsius(45))
	if err != nil {
		t.Fatal(err)
	}
	x, err := engine.CompareIcing(hot, outside)
	if err != nil {
		t.Fatal(err)
	}
	if x.Present.Risk != engine.IcingUnlikely || x.Changed.Risk != engine.IcingLikely || !strings.Contains(x.Advice, "flap") {
		t.Errorf("%v", x)
	}
	// Likely both times, but from serious at small throttle to any power.
	damp, err := air.NewStateFromDewPoint(101325, Celsius(22), Celsius(4))
	if err != nil {
		t.Fatal(err)
	}
	colder, err := damp.Heated(Celsius(7))
	if err != nil {
		t.Fatal(err)
	}
	if deeper, err := engine.CompareIcing(damp, colder); err != nil || deeper.Present.Risk != deeper.Changed.Risk || !strings.Contains(deeper.Advice, "deeper") {
		t.Errorf("%v, %v", deeper, err)
	}
	if s := fmt.Sprint(x); !strings.Contains(s, "moderate icing at cruise") {
		t.Errorf("does not name the zone: %s", s)
	}
}
