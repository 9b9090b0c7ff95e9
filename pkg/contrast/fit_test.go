package contrast_test

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
)

// Values by numpy and scipy on a grid of 40,000 scatters: testdata/posterior.py.
func TestMeanOfFewDrives(t *testing.T) {
	schools := group([]float64{28, 8, -3, 7, -1, 1, 18, 12}, []float64{15, 10, 16, 11, 9, 11, 10, 18})
	three := group([]float64{4.2, 6.1, 1.9}, []float64{0.8, 0.7, 0.9})
	four := group([]float64{3.0, 3.4, 2.8, 3.1}, []float64{0.9, 0.8, 1.0, 0.7})
	two := group([]float64{4.2, 1.9}, []float64{0.8, 0.9})
	inf := math.Inf(1)
	for _, c := range []struct {
		name                    string
		obs                     []contrast.Observation
		prior                   contrast.Scatter
		tau50, tau95, low, high float64
		above                   float64
	}{
		{"eight schools, half-Cauchy 25", schools, contrast.Scatter{Scale: 25, DegreesOfFreedom: 1}, 4.7837, 15.151, -1.7454, 17.7645, 0.94886},
		{"eight schools, half-normal 25", schools, contrast.Scatter{Scale: 25, DegreesOfFreedom: inf}, 4.9517, 15.669, -1.8349, 17.8856, 0.94763},
		{"first three, half-Cauchy 25", schools[:3], contrast.Scatter{Scale: 25, DegreesOfFreedom: 1}, 10.946, 44.02, -17.660, 39.608, 0.83508},
		{"three drives, half-normal 1", three, contrast.Scatter{Scale: 1, DegreesOfFreedom: inf}, 1.3088, 2.3237, 2.1963, 6.0758, 0.99961},
		{"three drives, half-t3 2", three, contrast.Scatter{Scale: 2, DegreesOfFreedom: 3}, 1.9604, 4.6559, 0.9164, 7.2639, 0.98833},
		{"three drives, half-t3 4", three, contrast.Scatter{Scale: 4, DegreesOfFreedom: 3}, 2.4785, 6.6924, -0.2147, 8.3720, 0.97161},
		{"four that agree, half-normal 1", four, contrast.Scatter{Scale: 1, DegreesOfFreedom: inf}, 0.3597, 1.2097, 2.0891, 4.1064, 0.99996},
		{"two drives, half-normal 1", two, contrast.Scatter{Scale: 1, DegreesOfFreedom: inf}, 0.8307, 2.0057, 1.1255, 5.0610, 0.99603},
		{"two drives, half-Cauchy 1", two, contrast.Scatter{Scale: 1, DegreesOfFreedom: 1}, 1.0355, 4.8037, -0.3011, 6.4246, 0.97032},
		{"eight schools, lognormal 10, 1", schools, contrast.Scatter{Scale: 10, LogDeviation: 1}, 4.8945, 13.1589, -1.5213, 17.4586, 0.95163},
		{"three drives, lognormal 1.4, 1.5", three, contrast.Scatter{Scale: 1.4, LogDeviation: 1.5}, 1.9312, 5.8611, 0.4637, 7.7032, 0.98115},
		{"four that agree, lognormal 1.4, 1.5", four, contrast.Scatter{Scale: 1.4, LogDeviation: 1.5}, 0.3460, 1.3712, 2.0564, 4.1373, 0.99953},
		{"two drives, lognormal 1.4, 1.5", two, contrast.Scatter{Scale: 1.4, LogDeviation: 1.5}, 1.2328, 6.5414, -1.3171, 7.4298, 0.95503},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := contrast.FitMean(c.obs, contrast.Model{Scatter: c.prior})
			if err != nil {
				t.Fatal(err)
			}
			low, high := p.Interval(0.95)
			near(t, "low", low, c.low, 0.001*(c.high-c.low))
			near(t, "high", high, c.high, 0.001*(c.high-c.low))
			near(t, "probability above 0", 1-p.Below(0), c.above, 2e-4)
			near(t, "scatter, median", p.Scatter(false, 0.5), c.tau50, 0.02*c.tau50)
			near(t, "scatter, 95 %", p.Scatter(false, 0.95), c.tau95, 0.03*c.tau95)
		})
	}
}

func group(y, s []float64) []contrast.Observation {
	var all []contrast.Observation
	for i := range y {
		all = append(all, contrast.Observation{Name: string(rune('a' + i)), Value: y[i], Uncertainty: s[i]})
	}
	return all
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.5f, want %.5f ± %.5f", what, got, want, tolerance)
	}
}

// Where nothing scatters between drives, all is a weighted least-squares problem
// with a closed answer: variances of means add (JCGM 100:2008, 5.1.2).
func TestKnownVariances(t *testing.T) {
	obs := []contrast.Observation{
		{Value: 10, Uncertainty: 0.3}, {Value: 10.2, Uncertainty: 0.3},
		{After: true, Value: 6, Uncertainty: 0.4}, {After: true, Value: 6.4, Uncertainty: 0.4},
	}
	model := contrast.Model{Scatter: contrast.Scatter{Scale: 1e-6, DegreesOfFreedom: math.Inf(1)}, Offset: 0.7}
	p, err := contrast.Fit(obs, model)
	if err != nil {
		t.Fatal(err)
	}
	u := math.Sqrt(0.3*0.3/2 + 0.4*0.4/2 + 0.7*0.7)
	low, high := p.Interval(0.95)
	near(t, "low", low, -3.9-1.959964*u, 1e-4)
	near(t, "high", high, -3.9+1.959964*u, 1e-4)
	for _, s := range p.Budget() {
		want := map[string]float64{contrast.OffsetSource: 0.49 / (u * u), contrast.OwnSource: 0.125 / (u * u), contrast.ScatterSource: 0}[s.Source]
		near(t, s.Source, s.Part, want, 1e-6)
	}
}

// A condition with a known coefficient is subtracted; one of which nothing is
// known is estimated as by least squares (worked by hand: the four points lie
// on y = 2 + 0.5 x - 3 after).
func TestConditions(t *testing.T) {
	points := func() []contrast.Observation {
		var all []contrast.Observation
		for _, x := range []float64{10, 20} {
			all = append(all, contrast.Observation{Value: 2 + 0.5*x, Uncertainty: 0.01, Covariates: []float64{x}},
				contrast.Observation{After: true, Value: 2 + 0.5*(x+8) - 3, Uncertainty: 0.01, Covariates: []float64{x + 8}})
		}
		return all
	}
	scatter := contrast.Scatter{Scale: 1e-3, DegreesOfFreedom: math.Inf(1)}
	for _, c := range []contrast.Covariate{{Mean: 0.5}, {Deviation: 100}} {
		p, err := contrast.Fit(points(), contrast.Model{Scatter: scatter, Covariates: []contrast.Covariate{c}})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "change", p.Quantile(0.5), -3, 1e-3)
	}
}

func TestOddDriveIsNamed(t *testing.T) {
	obs := []contrast.Observation{
		{Name: "a1", Value: 16.1}, {Name: "a2", Value: 17.0}, {Name: "a3", Value: 16.4},
		{Name: "b1", After: true, Value: 8.1}, {Name: "b2", After: true, Value: 8.9}, {Name: "b3", After: true, Value: 17.0},
	}
	all, err := contrast.Influence(obs, contrast.Model{Scatter: contrast.Scatter{Scale: 2.5, DegreesOfFreedom: 3}, LogRatio: 0.7}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range all {
		if w.Odd != (w.Drive == "b3") {
			t.Errorf("%s: odd is %v, surprise %.4f", w.Drive, w.Odd, w.Surprise)
		}
	}
	near(t, "change without b3", all[5].Delta, -8, 0.3)
}

func TestBadNumbersAreRefused(t *testing.T) {
	good := contrast.Model{Scatter: contrast.Scatter{Scale: 1, DegreesOfFreedom: 3}}
	two := []contrast.Observation{{Value: 1}, {After: true, Value: 2}}
	if _, err := contrast.Fit(two, good); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		obs []contrast.Observation
		m   contrast.Model
	}{
		"NaN":              {[]contrast.Observation{{Value: math.NaN()}, {After: true}}, good},
		"negative s":       {[]contrast.Observation{{Uncertainty: -1}, {After: true}}, good},
		"one group":        {two[:1], good},
		"no prior":         {two, contrast.Model{}},
		"bad spread":       {two, contrast.Model{Scatter: contrast.Scatter{Scale: 1, LogDeviation: -1}}},
		"missing variable": {two, contrast.Model{Scatter: good.Scatter, Covariates: []contrast.Covariate{{Deviation: 1}}}},
	} {
		if _, err := contrast.Fit(c.obs, c.m); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

// Which of two drives is far off nobody can tell: both are named.
func TestBothOfTwoAreOdd(t *testing.T) {
	obs := []contrast.Observation{{Name: "a", Value: 20, Uncertainty: 0.1}, {Name: "b", Value: 32, Uncertainty: 0.1},
		{Name: "c", After: true, Value: 10, Uncertainty: 0.1}, {Name: "d", After: true, Value: 10.5, Uncertainty: 0.1}}
	all, err := contrast.Influence(obs, contrast.Model{Scatter: contrast.Scatter{Scale: 1.4, LogDeviation: 0.6}, LogRatio: 0.35}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range all {
		if w.Odd != (i < 2) {
			t.Errorf("%+v", w)
		}
	}
}

// Several scales of the prior on one grid say what each says on its own; the two
// grids differ by less than a part in a hundred of the width.
func TestScalesAgreeWithOneAtATime(t *testing.T) {
	obs := []contrast.Observation{{Value: 16, Uncertainty: 0.1}, {Value: 17.1, Uncertainty: 0.1}, {Value: 14.9, Uncertainty: 0.1},
		{After: true, Value: 12, Uncertainty: 0.1}, {After: true, Value: 13.4, Uncertainty: 0.1}}
	m := contrast.Model{Scatter: contrast.Scatter{Scale: 1.4, LogDeviation: 1.5}, LogRatio: 0.7, Offset: 0.5}
	factors := []float64{1, 0.5, 2}
	all, err := contrast.FitScales(obs, m, factors...)
	if err != nil {
		t.Fatal(err)
	}
	widths := make([]float64, len(factors))
	for i, f := range factors {
		alone := m
		alone.Scatter.Scale *= f
		p, err := contrast.Fit(obs, alone)
		if err != nil {
			t.Fatal(err)
		}
		low, high := p.Interval(0.95)
		gotLow, gotHigh := all[i].Interval(0.95)
		near(t, "low", gotLow, low, 0.01*(high-low))
		near(t, "high", gotHigh, high, 0.01*(high-low))
		near(t, "below 0", all[i].Below(0), p.Below(0), 0.002)
		widths[i] = high - low
	}
	if !(widths[1] < widths[0] && widths[0] < widths[2]) {
		t.Errorf("widths %v of the scales %v: a larger scatter is expected to widen", widths, factors)
	}
	for _, bad := range []float64{0, -1, math.Inf(1), math.NaN()} {
		if _, err := contrast.FitScales(obs, m, 1, bad); err == nil {
			t.Errorf("the factor %g was taken", bad)
		}
	}
}
