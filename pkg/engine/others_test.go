package engine_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// The reference air of European law, read: Commission Delegated Regulation (EU)
// No 134/2014, annex X, appendix 2.2, points 3.2.1 and 3.2.2, has 298.2 K and
// 99 kPa dry, "based on a total pressure of 100 kPa and a water vapour pressure
// of 1 kPa", and takes test air of 283.2 K to 318.2 K (its equation stands there
// as a picture and was not seen). ISO 1585 and SAE J1349 have the same.
func TestReferenceAirOfEuropeanLaw(t *testing.T) {
	for _, s := range []engine.Standard{engine.ISO1585, engine.SAEJ1349} {
		k, p, dry := s.Reference()
		within(t, fmt.Sprint(s, " temperature"), k.Kelvin(), 298.2, 0.21)
		within(t, fmt.Sprint(s, " pressure"), float64(p), 100e3-1e3, 1e-6)
		if !dry {
			t.Errorf("%v: not dry", s)
		}
		at, err := air.NewState(100e3, Celsius(25), 0.3156) // 1 kPa of vapour
		if err != nil {
			t.Fatal(err)
		}
		f, err := s.Factor(at)
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(s, " factor"), f.Value, 1, 0.001)
	}
}

// Where power is best, as others print it: 12 to 13 and 12.5 to 13.5 of air to
// fuel (a page on tuning; tests of a club's engine), best torque from 11.5 to
// 13.3 (a page on turbochargers), λ 0.88 (a page on injection), 12.5 (an engine
// builder). The middle of each lies within the span of the best mixture, so
// that the change of power over a small step round it takes in nothing at all.
func TestBestMixtureOfOthers(t *testing.T) {
	s := dryAir(t, 101325, 20)
	thin, err := air.NewState(101325, Celsius(23), 0)
	if err != nil {
		t.Fatal(err)
	}
	shift, err := engine.Metering{Kind: engine.ConstantDepression, BowlBefore: Celsius(20), BowlAfter: Celsius(20)}.Shift(thin, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, lambda := range []float64{12.5 / 14.7, 13.0 / 14.7, 12.4 / 14.6, 0.88, 12.5 / 14.7} {
		e, err := engine.PowerOfMixture(shift, engine.LambdaRange{Low: lambda, High: lambda, Measured: true})
		if err != nil {
			t.Fatal(err)
		}
		if !e.Interval.Contains(0) || math.Abs(e.Value) > 0.001 {
			t.Errorf("λ %.3f is no best one: %v", lambda, e)
		}
	}
}

// The knock integral of smooth histories, by SciPy's adaptive quadrature, and in
// closed form: at constant temperature a pressure that rises in a line from p to
// q in time T gives T·(q^2.7 − p^2.7)/(2.7·(q − p)·C), C the delay at one
// atmosphere.
func TestKnockIntegralAgainstQuadrature(t *testing.T) {
	history := func(n int, duration float64, p, kelvin func(x float64) float64) (time []float64, ps []Pressure, ts []Temperature) {
		for i := range n + 1 {
			x := float64(i) / float64(n)
			time, ps, ts = append(time, x*duration), append(ps, Pressure(p(x))*StandardAtmosphere), append(ts, Kelvin(kelvin(x)))
		}
		return time, ps, ts
	}
	for _, r := range published.Table(t, "testdata/knock.csv", 4) {
		p := func(x float64) float64 { return 6 + r[2]*math.Pow(math.Sin(math.Pi*x/2), 2) }
		time, ps, ts := history(2000, r[1], p, func(x float64) float64 { return 620 * math.Pow(p(x)/6, 0.25) })
		got, err := engine.LivengoodWu(r[0], time, ps, ts)
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("by SciPy ", r[:3]), got/r[3], 1, 1e-5)
	}
	const low, high, duration = 10.0, 50.0, 5e-3
	time, ps, ts := history(2000, duration, func(x float64) float64 { return low + (high-low)*x }, func(float64) float64 { return 800 })
	got, err := engine.LivengoodWu(95, time, ps, ts)
	if err != nil {
		t.Fatal(err)
	}
	at, err := engine.AutoignitionDelay(95, low*StandardAtmosphere, Kelvin(800))
	if err != nil {
		t.Fatal(err)
	}
	want := duration * (math.Pow(high, 2.7) - math.Pow(low, 2.7)) / (2.7 * (high - low) * at * math.Pow(low, 1.7))
	within(t, "closed form", got/want, 1, 1e-5)
}

// Air that engines draw, as others measured and print it. A workshop magazine
// (August 2010): 1.8 l at 5000 rpm and full throttle draws 70 g/s, and engines
// there 37 to 40 times their litres. Volumetric efficiencies: 75 to 80 % for
// standard engines, 75 to 85 %, 70 to 90 % (three calculators and a technical
// library). All lie within what is assumed and its uncertainty.
func TestAirOfOtherEngines(t *testing.T) {
	d := engine.Description{Displacement: 1.8e-3, Cylinders: 4, RatedTorqueSpeed: 3500 * RevolutionPerMinute, RatedPowerSpeed: 5500 * RevolutionPerMinute}
	assumed, err := engine.AssumedVolumetricEfficiency(d)
	if err != nil {
		t.Fatal(err)
	}
	ve, err := assumed.At(5000 * RevolutionPerMinute)
	if err != nil {
		t.Fatal(err)
	}
	s := dryAir(t, 101325, 25)
	grams := func(ve float64) float64 {
		m, err := d.AirMassDemand(5000*RevolutionPerMinute, ve, s)
		if err != nil {
			t.Fatal(err)
		}
		return 1000 * float64(m)
	}
	least, most := grams(ve-engine.AssumedEfficiencyUncertainty), grams(ve+engine.AssumedEfficiencyUncertainty)
	for _, want := range []float64{70, 37 * 1.8, 40 * 1.8} {
		if want < least || want > most {
			t.Errorf("%v g/s is not in %.1f to %.1f", want, least, most)
		}
	}
	for _, rpm := range []float64{3500, 4500, 5500} {
		ve, err := assumed.At(RotationalSpeed(rpm) * RevolutionPerMinute)
		if err != nil {
			t.Fatal(err)
		}
		for _, printed := range []float64{0.775, 0.80, 0.80} { // the middles
			if math.Abs(ve-printed) > engine.AssumedEfficiencyUncertainty+0.01 {
				t.Errorf("%v rpm: %v, others %v", rpm, ve, printed)
			}
		}
	}
}

// A thermostatic air cleaner by the manuals of five makes: all air is warmed
// below 24 °C (75 °F), 30 °C (86 °F) and 32 °C (90 °F), the intake is held at 38 °C
// to 49 °C (100 °F to 120 °F), all air comes from outside above 55 °C (131 °F). All
// lie between the bounds, and the mixture that goes with the warm air is as wide.
func TestWarmAirByManuals(t *testing.T) {
	usual := engine.UsualWarmAir()
	for _, f := range []float64{75.3, 86, 90, 100, 120, 130.9} {
		if k := Fahrenheit(f); k.Compare(usual.HeldLow) < 0 || k.Compare(usual.HeldHigh) > 0 {
			t.Errorf("%v °F is not in %v to %v", f, usual.HeldLow, usual.HeldHigh)
		}
	}
	november, err := air.NewState(100e3, Celsius(6), 0.9)
	if err != nil {
		t.Fatal(err)
	}
	lost := func(w engine.WarmAir) engine.Lost {
		l, err := w.Lost(november, KelvinDifference(4), engine.ConstantDepression)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	wide := lost(usual)
	for _, f := range []float64{86, 100, 120} {
		if one := lost(engine.WarmAir{Held: Fahrenheit(f)}); one.Mixture.Ratio < wide.Mixture.Low || one.Mixture.Ratio > wide.Mixture.High {
			t.Errorf("%v °F: %v is not in %v", f, one.Mixture, wide.Mixture)
		}
	}
	exact := lost(engine.WarmAir{Held: usual.Held})
	if wide.Mixture.Ratio != exact.Mixture.Ratio || wide.Mixture.High-wide.Mixture.Low < 1.5*(exact.Mixture.High-exact.Mixture.Low) {
		t.Errorf("%v, of one held temperature %v", wide.Mixture, exact.Mixture)
	}
	if _, err := (engine.WarmAir{Held: Celsius(40), HeldHigh: Celsius(400)}).Lost(november, 0, engine.FixedJet); !errors.Is(err, air.ErrOutOfRange) {
		t.Errorf("held at 400 °C: %v", err)
	}
}

// The law of the mixture is out by a quarter less to twice as much: what a
// jetting rule for altitude says (2 to 4 % a thousand feet, the same calculator
// whose rule for temperature agrees; a jet seller's 3 %), twice the law's 1.5 %,
// lies in the interval of power of an engine whose λ is known, and the law
// itself stays in its middle.
func TestJettingTablesAreInThePower(t *testing.T) {
	c := engine.Charge{Outside: dryAir(t, 101325, 20), Lambda: engine.LambdaRange{Low: 0.98, High: 0.98, Measured: true},
		Metering: engine.Metering{Kind: engine.ConstantDepression, BowlBefore: Celsius(40), BowlAfter: Celsius(40)}}
	b := budget(t, c, exactly(35), exactly(-30))
	leaner := math.Sqrt((293.15 + 35) / (293.15 + 5))
	at := func(l float64) float64 { return 1 - 0.035*math.Pow((l-0.87)/0.13, 2) }
	for _, times := range []float64{0.8, 1, 1.8} {
		mixture := at(0.98*math.Pow(leaner, times))/at(0.98) - 1
		if !b.Mixture.Interval.Contains(mixture) {
			t.Errorf("%v times the law: %.4f is not in %v", times, mixture, b.Mixture)
		}
	}
	if law := at(0.98*leaner)/at(0.98) - 1; math.Abs(b.Mixture.Value-law) > 0.001 {
		t.Errorf("the middle is %v, the law's %v", b.Mixture.Value, law)
	}
	// A thousand feet by the law, in percent of jet area.
	s, err := air.StandardAtGeometric(Length(304.8))
	if err != nil {
		t.Fatal(err)
	}
	m, err := engine.ShiftOfMixture(engine.ConstantDepression, dryAir(t, 101325, 15), dryAir(t, float64(s.Pressure), 15))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "jetting rule over the law", 3/(100*(1-m.Ratio)), 1.7, 0.3)
}
