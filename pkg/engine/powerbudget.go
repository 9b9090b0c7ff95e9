package engine

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/draws"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Charge is what the worth of another intake air depends on, beside how warm
// it is.
type Charge struct {
	// Outside is the air that both intakes breathe, before the car warms it.
	Outside air.State
	// PressureUncertainty and VapourUncertainty are the standard uncertainties of
	// its pressure and vapour pressure.
	PressureUncertainty, VapourUncertainty quantity.Pressure
	// Metering says how the fuel is metered, and what duct and filter take off
	// the pressure.
	Metering Metering
	// LossUncertainty is the half width of what is not known of
	// Metering.LossAfter − Metering.LossBefore.
	LossUncertainty quantity.Pressure
	// Lambda is where the mixture stood before; the zero value takes
	// [UsualLambda].
	Lambda LambdaRange
}

// PowerBudget is what a change of the intake air is worth at full throttle,
// with everything in it that is modelled, and what each part adds to the
// uncertainty.
type PowerBudget struct {
	// Total is the relative change of power with its 95 % interval; its
	// contributions are those of Parts.
	Total estimate.Estimate
	// Air is the change by the standards alone, Mixture that by the mixture
	// alone, each with its 95 % interval.
	Air, Mixture estimate.Estimate
	// Parts are the sources of uncertainty, largest first.
	Parts []PowerPart
	// Lambda is the range that was taken, Metering what was known.
	Lambda   LambdaRange
	Metering Metering
}

// PowerPart is one source of uncertainty of a change of power.
type PowerPart struct {
	Source estimate.Source
	// Alone is the 95 % interval of the change of power if nothing else were
	// uncertain; Standard its standard uncertainty.
	Alone    estimate.Interval
	Standard float64
}

// The sources of uncertainty, in the order of a draw.
const (
	ofBefore = iota
	ofChange
	ofStandards
	ofLambda
	ofBest
	ofLossAtOne
	ofLaw
	ofBowl
	ofExpansion
	ofBleed
	ofSignal
	ofVent
	ofInjection
	ofPressure
	ofVapour
	ofDuct
	ofFuelBefore
	ofFuelAfter
	inputs // how many
)

// powerSources names the groups of inputs that the budget lists.
var powerSources = []struct {
	source estimate.Source
	inputs []int
}{
	{estimate.Source{Kind: estimate.Scatter, ID: "temperature of the intake air"}, []int{ofBefore, ofChange}},
	{estimate.Source{Kind: estimate.ModelSpread, ID: "the standards' laws"}, []int{ofStandards}},
	{estimate.Source{Kind: estimate.Description, ID: "where the mixture stood, λ"}, []int{ofLambda}},
	{estimate.Source{Kind: estimate.ModelSpread, ID: "power over λ"}, []int{ofBest, ofLossAtOne}},
	{estimate.Source{Kind: estimate.ModelSpread, ID: "the mixture's law"}, []int{ofLaw}},
	{estimate.Source{Kind: estimate.Description, ID: "fuel in the float bowl"}, []int{ofBowl, ofExpansion}},
	{estimate.Source{Kind: estimate.Description, ID: "ethanol in the fuel"}, []int{ofFuelBefore, ofFuelAfter}},
	{estimate.Source{Kind: estimate.ModelSpread, ID: "air-correction jet"}, []int{ofBleed}},
	{estimate.Source{Kind: estimate.Description, ID: "how the injection meters"}, []int{ofInjection}},
	{estimate.Source{Kind: estimate.Barometer, ID: "outside pressure"}, []int{ofPressure}},
	{estimate.Source{Kind: estimate.Hygrometer, ID: "outside humidity"}, []int{ofVapour}},
	{estimate.Source{Kind: estimate.ModelSpread, ID: "duct and filter, pressure"}, []int{ofDuct, ofSignal, ofVent}},
}

// together and alone are how many points the distributions are propagated
// by, all together and one source at a time.
const together, alone = 6144, 255

// Power returns what it is worth at full throttle that the intake air, by
// before warmer than outside, becomes warmer by change (colder if negative):
// the standards' power and the mixture's together, each source of uncertainty
// as a distribution. before and change are temperature differences in K: with a
// level their intervals are taken as Student's t, without one as bounds of a
// uniform distribution on either side of the value. Standards, λ, bowl and duct
// are uniform between their bounds, pressure and humidity normal; what the law of
// the mixture may be off is uniform below it and falls off towards twice of it.
//
// What is not in it says [NotModelled].
//
// It fails where a value leaves the range of the formulas at the middle or at
// an end of an interval, and, wrapping [estimate.ErrUnknown], where before or
// change is not known or has an infinite end.
//
// Source: JCGM 101:2008, clause 5.9, by a low-discrepancy sequence instead of
// random draws.
func (c Charge) Power(before, change estimate.Estimate) (PowerBudget, error) {
	share := quantity.KindShare.Shown()
	b := PowerBudget{Total: estimate.Unknown(totalName, share, "an input is not known"), Lambda: c.lambda(), Metering: c.Metering}
	if err := c.checkEnds(before, change); err != nil {
		return b, err
	}
	p := propagation{c, before, change, b.Lambda}
	middle := p.spread(1, func(int) bool { return false })[0]
	all := p.spread(together, func(int) bool { return true })
	total, airAlone, mixture := make([]float64, together), make([]float64, together), make([]float64, together)
	for i, x := range all {
		total[i], airAlone[i], mixture[i] = x.total(), x.air, x.mixture
	}
	b.Total = estimate.Between(totalName, middle.total(), share, draws.Coverage(total), estimate.MonteCarlo, math.NaN())
	b.Air = estimate.Between("change by temperature and pressure", middle.air, share, draws.Coverage(airAlone), estimate.MonteCarlo, math.NaN())
	b.Mixture = estimate.Between("change by the mixture", middle.mixture, share, draws.Coverage(mixture), estimate.MonteCarlo, math.NaN())
	b.Total.Count = change.Count
	for _, s := range powerSources {
		changes := make([]float64, alone)
		for i, x := range p.spread(alone, func(k int) bool { return slices.Contains(s.inputs, k) }) {
			changes[i] = x.total()
		}
		if u := stat.StdDev(changes, nil); u > 1e-9 {
			b.Parts = append(b.Parts, PowerPart{s.source, draws.Coverage(changes), u})
			b.Total.Contributions = append(b.Total.Contributions, estimate.Contribution{Source: s.source, Effect: u})
		}
	}
	slices.SortStableFunc(b.Parts, func(x, y PowerPart) int { return cmp.Compare(y.Standard, x.Standard) })
	return b, nil
}

const totalName = "change of full-throttle power, mixture included"

func (c Charge) lambda() LambdaRange {
	if c.Lambda == (LambdaRange{}) {
		return UsualLambda()
	}
	return c.Lambda
}

// checkEnds works the formulas out where they check their ranges.
func (c Charge) checkEnds(before, change estimate.Estimate) error {
	for _, e := range []estimate.Estimate{before, change} {
		if !e.Known() || math.IsInf(e.Interval.Low, 0) || math.IsInf(e.Interval.High, 0) || e.Interval.High < e.Interval.Low {
			return fmt.Errorf("engine.Charge.Power: %s: %w", e.Name, estimate.ErrUnknown)
		}
	}
	for _, u := range []struct {
		of string
		quantity.Pressure
	}{{"loss of pressure", c.LossUncertainty}, {"pressure", c.PressureUncertainty}, {"vapour pressure", c.VapourUncertainty}} {
		if !(u.Pressure >= 0 && u.Pressure <= mostLoss) {
			return rangeError("Charge.Power", "uncertainty of the "+u.of, float64(u.Pressure), 0, mostLoss, quantity.KindPressure.Shown(), "")
		}
	}
	for _, d := range []float64{change.Value, change.Interval.Low, change.Interval.High} {
		if math.IsNaN(d) {
			continue
		}
		from, err := c.Outside.Heated(c.Outside.Temperature.Add(quantity.KelvinDifference(before.Value)))
		if err != nil {
			return fmt.Errorf("engine.Charge.Power: %w", err)
		}
		to, err := from.Heated(from.Temperature.Add(quantity.KelvinDifference(d)))
		if err != nil {
			return fmt.Errorf("engine.Charge.Power: %w", err)
		}
		shift, err := c.Metering.Shift(from, to)
		if err != nil {
			return err
		}
		if _, err := PowerOfMixture(shift, c.lambda()); err != nil {
			return err
		}
	}
	return nil
}

// NotModelled lists what colder charge also does and no number here holds, a
// sentence each.
func NotModelled() []string {
	return []string{
		"Flame speed: a colder charge burns a little slower; the standards hold what a test bench saw of it with air of at most 35 °C (95 °F). It is no reason to touch the ignition timing.",
		"Volatility and distribution: less fuel evaporates in colder air, so cylinders differ more and a cold manifold is wet; at part throttle and while warming up this can outweigh what density gives. A heated manifold evens it out.",
		"Part throttle: the driver's foot makes up for power; consumption and driveability are not predicted.",
		"Pulsation and resonance of a longer intake, which can give or take more at one speed than temperature does.",
	}
}

// Leading names the sources that make up at least three quarters of the
// variance, largest first.
func (b PowerBudget) Leading() string {
	var names []string
	sum := 0.0
	for _, s := range b.Total.Shares() {
		if sum >= 0.75 {
			break
		}
		sum += s.Share
		names = append(names, fmt.Sprintf("%s (%.0f %%)", s.Source.ID, 100*s.Share))
	}
	return strings.Join(names, ", ")
}

// String returns the change, its parts and how much each adds.
func (b PowerBudget) String() string {
	var t strings.Builder
	percent := func(v estimate.Interval) string { return fmt.Sprintf("%+.1f to %+.1f %%", 100*v.Low, 100*v.High) }
	if !b.Total.Known() {
		return b.Total.String()
	}
	fmt.Fprintf(&t, "%s: %+.1f %% (95 %%: %s)\n", totalName, 100*b.Total.Value, percent(b.Total.Interval))
	fmt.Fprintf(&t, "  by temperature and pressure %+.1f %% (%s), by the mixture %+.1f %% (%s)\n", 100*b.Air.Value, percent(b.Air.Interval), 100*b.Mixture.Value, percent(b.Mixture.Interval))
	kind := "a prior, nobody measured it"
	if b.Lambda.Measured {
		kind = "measured"
	}
	fmt.Fprintf(&t, "  λ before: %.2f to %.2f (%s)\n", b.Lambda.Low, b.Lambda.High, kind)
	if s := b.Metering.Stated(); s != "" {
		fmt.Fprintf(&t, "  as stated: %s\n", s)
	}
	shares := map[estimate.Source]float64{}
	for _, s := range b.Total.Shares() {
		shares[s.Source] = s.Share
	}
	t.WriteString("  each source alone:\n")
	var little []string
	for _, p := range b.Parts {
		if shares[p.Source] < 0.005 {
			little = append(little, p.Source.ID)
			continue
		}
		fmt.Fprintf(&t, "    %-32s %-18s %3.0f %% of the variance\n", p.Source.ID, percent(p.Alone), 100*shares[p.Source])
	}
	if len(little) > 0 {
		fmt.Fprintf(&t, "    hardly anything: %s\n", strings.Join(little, ", "))
	}
	return t.String()
}
