package verdict_test

import (
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// What the owner measured takes the place of what was assumed: λ at full
// throttle narrows the power, and a stated drop of pressure that rises by 0.6 kPa
// takes 0.6 to 0.8 % (exponents 1 to 1.2 of 0.62 %).
func TestMeasuredChargeReachesThePower(t *testing.T) {
	text := simulate.Demo(simulate.DemoSeed)
	plain := answer(t, saved(t, text)).Power.Worths[0]
	lambda := answer(t, saved(t, text, `carburettors = 1`, "carburettors = 1\nlambda = \"0.86 to 0.90\"")).Power.Worths[0]
	if !lambda.Budget.Lambda.Measured || lambda.Total.Interval.Width() > 0.8*plain.Total.Interval.Width() {
		t.Errorf("measured λ: %v\nnot measured: %v", lambda.Total, plain.Total)
	}
	a := answer(t, saved(t, text, "hose to the carburettor\"", "hose to the carburettor\"\npressure-drop = \"1.0 kPa\"", "draw from the engine bay\"", "draw from the engine bay\"\npressure-drop = \"0.4 kPa\""))
	w := a.Power.Worths[0]
	if cost := plain.Budget.Air.Value - w.Budget.Air.Value; !w.Ducted || cost < 0.006 || cost > 0.008 {
		t.Errorf("0.6 kPa cost %.4f: %v, without it %v", cost, w.Budget.Air, plain.Budget.Air)
	}
	if w.BeforeDuct.Value != plain.Total.Value {
		t.Errorf("before the duct %v, without one %v", w.BeforeDuct, plain.Total)
	}
	if s := w.String(); !strings.Contains(s, "duct and filter") && !strings.Contains(w.Budget.String(), "duct and filter") {
		t.Errorf("the budget does not name the duct:\n%s", w.Budget)
	}
	// Two readings of 2 kPa, each to a tenth: their difference is known to ± 0.4 kPa, of
	// power to ± 0.4 to 0.5 %, of which the ends of 95 % are 0.95.
	alike := answer(t, saved(t, text, "hose to the carburettor\"", "hose to the carburettor\"\npressure-drop = \"2.0 kPa\"", "draw from the engine bay\"", "draw from the engine bay\"\npressure-drop = \"2.0 kPa\"", `carburettors = 1`, "carburettors = 1\nlambda = \"0.86 to 0.88\""))
	if w := widthAlone(alike.Power.Worths[0].Budget, "duct and filter, pressure"); w < 0.007 || w > 0.012 {
		t.Errorf("a gauge read to a tenth: %.4f of\n%v", w, alike.Power.Worths[0].Budget)
	}
	if s := plain.Budget.String(); len(plain.Budget.Parts) < 5 || !strings.Contains(s, "outside humidity") || !strings.Contains(s, "outside pressure") {
		t.Errorf("budget:\n%v", plain.Budget)
	}
}

func widthAlone(b engine.PowerBudget, source string) float64 {
	for _, p := range b.Parts {
		if p.Source.ID == source {
			return p.Alone.Width()
		}
	}
	return 0
}

// A λ log of the drives before tells where the mixture stood at full throttle: λ
// or air–fuel ratio, by the probe's own ± 0.01, and nothing outside what engines
// run on.
func TestLambdaLogReachesThePower(t *testing.T) {
	for name, c := range map[string]struct {
		value float64
		want  bool
	}{"rich": {0.84, true}, "an air–fuel ratio": {0.84 * 14.7, true}, "a probe in free air": {7.5, false}, "no exhaust": {1.8, false}} {
		camp, err := campaign.Open(saved(t, simulate.Demo(simulate.DemoSeed)))
		if err != nil {
			t.Fatal(err)
		}
		set, err := camp.Gather()
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range set.Drives {
			speed := d.Channels[drive.Speed].Series
			v := make([]float64, speed.Len())
			for i := range v {
				v[i] = c.value
			}
			d.Channels[drive.Lambda] = &drive.Channel{Role: drive.Lambda, Series: speed.With("lambda", series.Dimensionless, v)}
		}
		a, err := verdict.OfDrives(set, verdict.Question{Before: "open filters", After: "cold-air duct"})
		if err != nil {
			t.Fatal(err)
		}
		l := a.Power.Worths[0].Budget.Lambda
		if l.Measured != c.want || c.want && (math.Abs(l.Low-0.83) > 1e-9 || math.Abs(l.High-0.85) > 1e-9) {
			t.Errorf("%s: %v", name, l)
		}
	}
}

// What the configurations say of the fuel reaches the power and is named where it
// stands: a tenth of ethanol leans by 4 %, a bowl of 15 K colder fuel enriches by
// 0.7 to 0.8 %.
func TestFuelReachesThePower(t *testing.T) {
	stated := func(before, after string) compare.Worth {
		a := answer(t, saved(t, simulate.Demo(simulate.DemoSeed), `carburettors = 1`, "carburettors = 1\nlambda = \"0.94 to 0.95\"",
			"hose to the carburettor\"", "hose to the carburettor\"\n"+after, "draw from the engine bay\"", "draw from the engine bay\"\n"+before))
		return a.Power.Worths[0]
	}
	plain := stated("", "")
	leaner := stated(`ethanol = "0 %"`, `ethanol = "10 %"`)
	if loss := plain.Total.Value - leaner.Total.Value; loss < 0.01 || loss > 0.04 {
		t.Errorf("a tenth of ethanol takes %.4f: %v, without it %v", loss, leaner.Total, plain.Total)
	}
	if text := verdict.Ducted(leaner); !strings.Contains(text, "ethanol in the fuel, 0 % before and 10 % after") {
		t.Error(text)
	}
	bowl := stated(`bowl-temperature = "50 degC"`, `bowl-temperature = "35 degC"`)
	if gain := bowl.Mixture.Value - plain.Mixture.Value; gain <= 0 || bowl.Total.Interval.Width() >= plain.Total.Interval.Width() {
		t.Errorf("colder fuel from a lean mixture: %v, not known %v", bowl.Budget, plain.Budget)
	}
	if text := verdict.Ducted(bowl); !strings.Contains(text, "float bowl") {
		t.Error(text)
	}
	if text := verdict.Ducted(plain); strings.Contains(text, "in it, as stated") {
		t.Error(text)
	}
}
