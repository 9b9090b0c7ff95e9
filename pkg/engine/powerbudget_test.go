package engine_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

var kelvin = KindTemperatureDifference.SI()

func exactly(k float64) estimate.Estimate {
	return estimate.Between("rise", k, kelvin, estimate.NoInterval(), estimate.Stated, math.NaN())
}

// measured is a temperature difference with a half width at 95 % from n degrees
// of freedom.
func measured(k, half, n float64) estimate.Estimate {
	return estimate.Between("change", k, kelvin, estimate.Interval{Low: k - half, High: k + half, Level: 0.95}, estimate.BetweenDrives, n)
}

func budget(t *testing.T, c engine.Charge, before, change estimate.Estimate) engine.PowerBudget {
	t.Helper()
	b, err := c.Power(before, change)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The part of temperature and pressure, whatever the mixture does: from 60 °C
// to 30 °C, dry, DIN 70020 says √(333.15/303.15) − 1 = 4.83 % and ISO 1585
// (…)^0.6 − 1 = 5.83 %, worked by hand; the interval of a uniform distribution
// between them is 95 % of the way, and 2 K at 95 % of 30 K adds 2/30 of 5.6 %.
func TestPowerBudgetByHand(t *testing.T) {
	c := engine.Charge{Outside: dryAir(t, 101325, 20), Metering: engine.Metering{Kind: engine.FixedJet, NoAirCorrection: true, BowlBefore: Celsius(40), BowlAfter: Celsius(40)},
		Lambda: engine.LambdaRange{Low: 0.86, High: 0.86, Measured: true}}
	b := budget(t, c, exactly(40), exactly(-30))
	if v := b.Air.Interval; math.Abs(v.Low-0.0483) > 5e-4 || math.Abs(v.High-0.0583) > 5e-4 {
		t.Errorf("standards alone: %v", b.Air)
	}
	u := budget(t, c, exactly(40), measured(-30, 2, math.Inf(1)))
	want := math.Hypot((0.0583-0.0483)/math.Sqrt(12), 0.056*2/30/1.96)
	if got := u.Air.StandardUncertainty(); math.Abs(got/want-1) > 0.1 {
		t.Errorf("with 2 K: standard uncertainty %.5f, by hand %.5f", got, want)
	}
}

// The whole budget against JCGM 101's random draws by package uncertainty, with
// the formulas written down once more: unknown λ of a constant-depression
// carburettor, 30 K ± 4 K with 4 degrees of freedom.
func TestPowerBudgetAgainstMonteCarlo(t *testing.T) {
	outside, err := air.NewState(97000, Celsius(15), 0.7)
	if err != nil {
		t.Fatal(err)
	}
	c := engine.Charge{Outside: outside, PressureUncertainty: 100, VapourUncertainty: 150, Metering: engine.Metering{Kind: engine.ConstantDepression}}
	b := budget(t, c, exactly(35), measured(-30, 4, 4))
	in := func(name string, v uncertainty.Value, s uncertainty.Shape) uncertainty.Input {
		return uncertainty.Input{Name: name, Value: v, Shape: s}
	}
	e := float64(outside.VapourPressure)
	d, err := uncertainty.MonteCarlo(func(x []float64) float64 {
		from, to := 323.15, 323.15-30+x[0]*4/2.776445
		p, v := 97000+x[1], e+x[2]
		law := []float64{math.Sqrt(from / to), (1.18*99e3/(p-v)*math.Sqrt((from-.15)/298) - .18) / (1.18*99e3/(p-v)*math.Sqrt((to-.15)/298) - .18), math.Pow(from/to, 0.6)}
		power := law[1] + min(x[3], 0)*(law[1]-law[0]) + max(x[3], 0)*(law[2]-law[1])
		leaner := math.Sqrt(from/to) / math.Sqrt(1+(0.95e-3+0.15e-3*x[8])*(from-to)*x[4])
		at := func(l float64) float64 { return 1 - x[7]*math.Pow((l-x[6])/(1-x[6]), 2) }
		// The law: a quarter less at most, or up to twice by a falling triangle.
		law9 := x[9] / 2
		if x[9] > 0 {
			law9 = 1 - math.Sqrt(1-x[9]*2)
		}
		return power*at(x[5]*math.Pow(leaner, 1+law9))/at(x[5]) - 1
	}, []uncertainty.Input{
		in("t", uncertainty.Value{U: 1, DegreesOfFreedom: 4}, uncertainty.Normal),
		in("p", uncertainty.Value{U: 100}, uncertainty.Normal), in("e", uncertainty.Value{U: 150}, uncertainty.Normal),
		in("law", uncertainty.Rectangular(0, 1), uncertainty.RectangularShape), in("bowl", uncertainty.Rectangular(0.5, 0.5), uncertainty.RectangularShape),
		in("λ", uncertainty.Rectangular(0.9, 0.1), uncertainty.RectangularShape), in("best", uncertainty.Rectangular(0.87, 0.03), uncertainty.RectangularShape),
		in("loss", uncertainty.Rectangular(0.035, 0.005), uncertainty.RectangularShape), in("expansion", uncertainty.Rectangular(0.5, 0.5), uncertainty.RectangularShape),
		in("mixture's law", uncertainty.Rectangular(0, 0.5), uncertainty.RectangularShape),
	}, uncertainty.DefaultMonteCarloOptions())
	if err != nil {
		t.Fatal(err)
	}
	// The ends and the standard deviation agree to a twentieth of the latter.
	u := d.Result.U
	for _, x := range []struct {
		what      string
		got, want float64
	}{{"low", b.Total.Interval.Low, d.Symmetric.Low}, {"high", b.Total.Interval.High, d.Symmetric.High}} {
		if math.Abs(x.got-x.want) > u/20 {
			t.Errorf("%s: %.5f, by random draws %.5f ± %.5f", x.what, x.got, x.want, u)
		}
	}
}

// Where the mixture stood decides: rich gains by the leaner mixture, lean
// loses, and a measured λ takes the part away that a prior needs.
func TestMeasuredLambdaNarrowsThePower(t *testing.T) {
	c := engine.Charge{Outside: dryAir(t, 101325, 20), Metering: engine.Metering{Kind: engine.ConstantDepression}}
	unknown := budget(t, c, exactly(35), measured(-25, 2, 5))
	c.Lambda = engine.LambdaRange{Low: 0.80, High: 0.83, Measured: true}
	rich := budget(t, c, exactly(35), measured(-25, 2, 5))
	c.Lambda = engine.LambdaRange{Low: 0.97, High: 1, Measured: true}
	lean := budget(t, c, exactly(35), measured(-25, 2, 5))
	if !(rich.Total.Interval.Width() < 0.7*unknown.Total.Interval.Width() && rich.Mixture.Value > 0.003 && lean.Mixture.Value < -0.01) {
		t.Errorf("unknown %v\nrich %v\nlean %v", unknown, rich, lean)
	}
	if unknown.Parts[0].Source.ID != "where the mixture stood, λ" || !strings.Contains(rich.String(), "(measured)") || !strings.Contains(unknown.String(), "a prior") {
		t.Errorf("unknown %v\nrich %v", unknown, rich)
	}
	sum := 0.0
	for _, s := range unknown.Total.Shares() {
		sum += s.Share
	}
	within(t, "shares of the budget", sum, 1, 1e-9)
}

// A duct that takes 1 kPa more costs about 1.2 % by ISO 1585 (exponent 1.2, 1 % of
// the pressure) and 1 % by DIN 70020; not knowing ± 0.5 kPa is ± 0.6 % of power.
func TestDuctIsInThePower(t *testing.T) {
	c := engine.Charge{Outside: dryAir(t, 101325, 20), Lambda: engine.LambdaRange{Low: 0.88, High: 0.88, Measured: true},
		Metering: engine.Metering{Kind: engine.ConstantDepression, Vent: engine.VentToMouth, LossBefore: 500, LossAfter: 1500}}
	b := budget(t, c, exactly(20), exactly(0))
	if v := b.Air; v.Interval.High > -0.0095 || v.Interval.Low < -0.0122 {
		t.Errorf("1 kPa: %v", v)
	}
	c.LossUncertainty = 500
	w := budget(t, c, exactly(20), exactly(0))
	if grows := w.Total.Interval.Width() - b.Total.Interval.Width(); grows < 0.008 || grows > 0.014 {
		t.Errorf("± 0.5 kPa widens by %.4f: %v", grows, w)
	}
	// Vented to the outside the duct's kilopascal is a fuel signal: richer.
	c.LossUncertainty, c.Metering.Vent = 0, engine.VentToOutside
	m, err := c.Metering.Shift(c.Outside, c.Outside)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: √((1.5 + 0.5)/(1.5 + 1.5)) = 0.816 at the weakest signal,
	// √(10.5/11.5) = 0.956 at the strongest.
	thin := math.Sqrt((101325.0 - 1500) / (101325 - 500))
	within(t, "weakest signal", m.Low, 0.8165*thin, 0.001)
	within(t, "strongest signal", m.High, 0.9555*thin, 0.001)
}

func TestPowerBudgetRefuses(t *testing.T) {
	c := engine.Charge{Outside: dryAir(t, 101325, 20)}
	endless := estimate.Between("change", -20, kelvin, estimate.Interval{Low: math.Inf(-1), High: 0, Level: 0.95}, estimate.BetweenDrives, 1)
	for name, f := range map[string]func() error{
		"no change": func() error {
			_, err := c.Power(exactly(30), estimate.Unknown("change", kelvin, "one drive"))
			return err
		},
		"endless": func() error { _, err := c.Power(exactly(30), endless); return err },
		"200 K":   func() error { _, err := c.Power(exactly(30), exactly(200)); return err },
		"no air":  func() error { _, err := engine.Charge{}.Power(exactly(30), exactly(-20)); return err },
		"duct of 1 bar": func() error {
			d := c
			d.Metering.LossAfter = 1e5
			_, err := d.Power(exactly(30), exactly(-20))
			return err
		},
	} {
		if err := f(); err == nil || !errors.Is(err, engine.ErrOutOfRange) && !errors.Is(err, estimate.ErrUnknown) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
