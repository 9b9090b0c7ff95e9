package uncertainty_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// near reports a difference beyond half a unit of the last printed digit.
func near(t *testing.T, what string, got, want, half float64) {
	t.Helper()
	if !(math.Abs(got-want) <= half) {
		t.Errorf("%s: got %.8g, printed %.8g ± %g", what, got, want, half)
	}
}

// JCGM 100:2008, H.1, end-gauge calibration (table H.1 and H.1.6; printed
// numbers from memory): lengths in nanometres from the nominal 50 mm.
func TestGUMH1EndGauge(t *testing.T) {
	const nominal = 50e6 // nm
	inputs := []Input{
		{Name: "standard", Value: Value{X: 623, U: 25, DegreesOfFreedom: 18}},
		{Name: "comparison", Value: Value{X: 215, U: 9.7, DegreesOfFreedom: 25.6}},
		{Name: "expansion of the standard", Value: Value{X: 11.5e-6, U: 1.2e-6}},
		{Name: "temperature of the bench", Value: Value{X: -0.1, U: 0.41}},
		{Name: "difference of expansion", Value: Value{X: 0, U: 0.58e-6, DegreesOfFreedom: 50}},
		{Name: "difference of temperature", Value: Value{X: 0, U: 0.029, DegreesOfFreedom: 2}},
	}
	b, err := NewBudget(func(x []float64) float64 {
		ls := nominal + x[0]
		return x[0] + x[1] - ls*(x[4]*x[3]+x[2]*x[5])
	}, inputs, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length − 50 mm in nm", b.Result.X, 838, 0.5)
	near(t, "combined standard uncertainty", b.FirstOrder, 32, 0.5)
	near(t, "with the terms of second order, H.1.7", b.Result.U, 34, 0.5)
	for i, want := range []float64{25, 9.7, 0, 0, 2.9, 16.6} {
		near(t, b.Lines[i].Name, b.Lines[i].Contribution, want, 0.1)
	}
	if n := math.Floor(b.Result.DegreesOfFreedom); n != 16 {
		t.Errorf("effective degrees of freedom %v, printed 16", b.Result.DegreesOfFreedom)
	}
	near(t, "t for 99 %", b.Result.CoverageFactor(0.99), 2.92, 0.005)
	near(t, "expanded uncertainty 99 %", b.Result.CoverageFactor(0.99)*b.FirstOrder, 93, 0.8)
	if s := b.String(); !strings.Contains(s, "838 ± 34") {
		t.Errorf("table lacks the result:\n%s", s)
	}
}

// JCGM 100:2008, H.2, resistance and reactance measured together (tables H.2
// to H.4; data from memory, results recomputed independently).
func TestGUMH2Impedance(t *testing.T) {
	v := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	i := []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	phi := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	values, r, err := FromJointObservations(v, i, phi)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u(V)", values[0].U, 0.0032, 0.00005)
	near(t, "u(I)", values[1].U, 0.0095e-3, 0.00005e-3)
	near(t, "u(φ)", values[2].U, 0.00075, 0.000005)
	near(t, "r(V,I)", r.At(0, 1), -0.36, 0.005)
	near(t, "r(V,φ)", r.At(2, 0), 0.86, 0.005)
	near(t, "r(I,φ)", r.At(1, 2), -0.65, 0.005)
	y, ry, err := PropagateMany(func(x []float64) []float64 {
		return []float64{x[0] / x[1] * math.Cos(x[2]), x[0] / x[1] * math.Sin(x[2]), x[0] / x[1]}
	}, values, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "R", y[0].X, 127.732, 0.0005)
	near(t, "u(R)", y[0].U, 0.071, 0.0005)
	near(t, "X", y[1].X, 219.847, 0.0005)
	near(t, "u(X)", y[1].U, 0.295, 0.001) // printed .295, the data give .29558
	near(t, "Z", y[2].X, 254.260, 0.0005)
	near(t, "u(Z)", y[2].U, 0.236, 0.0005)
	near(t, "r(R,X)", ry.At(0, 1), -0.588, 0.0005)
	near(t, "r(R,Z)", ry.At(0, 2), -0.485, 0.0006)
	near(t, "r(X,Z)", ry.At(1, 2), 0.993, 0.0005)
}

// JCGM 100:2008, H.3, thermometer calibration (table H.6; data from memory,
// results recomputed independently).
func TestGUMH3Thermometer(t *testing.T) {
	x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	b := []float64{-.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160}
	l, err := FitLine(x, b, 20)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "y1", l.Intercept.X, -0.1712, 0.00005)
	near(t, "u(y1)", l.Intercept.U, 0.0029, 0.00005)
	near(t, "y2", l.Slope.X, 0.00218, 0.000005)
	near(t, "u(y2)", l.Slope.U, 0.00067, 0.000005)
	near(t, "r", l.Correlation, -0.930, 0.0005)
	near(t, "s", l.Residual, 0.0035, 0.00005)
	near(t, "b(30)", l.At(30).X, -0.1494, 0.00005)
	near(t, "u(b(30))", l.At(30).U, 0.0041, 0.00005)
}

// JCGM 101:2008, 9.2: sums of four inputs (printed numbers from memory).
// Tolerances: half the printed digit and 4 standard errors of the draws.
func TestSupplement1Additive(t *testing.T) {
	sum := func(x []float64) float64 { return x[0] + x[1] + x[2] + x[3] }
	four := func(s Shape, last float64) []Input {
		in := make([]Input, 4)
		for i := range in {
			in[i] = Input{Value: Value{U: 1}, Shape: s}
		}
		in[3].Value.U = last
		return in
	}
	for _, c := range []struct {
		name           string
		in             []Input
		u, half        float64
		tolU, tolRange float64
	}{
		{"9.2.2 normal", four(Normal, 1), 2.00, 3.92, 0.015, 0.035},
		{"9.2.3 rectangular", four(RectangularShape, 1), 2.00, 3.88, 0.015, 0.03},
		{"9.2.4 one ten times larger", four(RectangularShape, 10), 10.1, 17.0, 0.07, 0.1},
	} {
		d, err := MonteCarlo(sum, c.in, MonteCarloOptions{Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+": mean", d.Result.X, 0, 4*c.u/math.Sqrt(200_000))
		near(t, c.name+": u", d.Result.U, c.u, c.tolU)
		near(t, c.name+": low", d.Symmetric.Low, -c.half, c.tolRange)
		near(t, c.name+": high", d.Symmetric.High, c.half, c.tolRange)
	}
	// 9.2.4: the law of propagation gives ±19.9 (1.96·10.1 = 19.9).
	values := []Value{{U: 1}, {U: 1}, {U: 1}, {U: 10}}
	v, err := Propagate(sum, values...)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "9.2.4 by propagation", v.Interval(0.95).High, 19.9, 0.05)
}

// Student's t, two-sided: GUM table G.2 (t_95(2) = 4.30, t_95(10) = 2.23,
// t_99(5) = 4.03), also in every statistics table.
func TestCoverageFactorTableG2(t *testing.T) {
	for _, c := range []struct{ nu, level, want float64 }{
		{1, 0.95, 12.71}, {2, 0.95, 4.30}, {4, 0.95, 2.78}, {10, 0.95, 2.23}, {5, 0.99, 4.03}, {0, 0.95, 1.960},
		{10.9, 0.95, 2.23}, // G.4.1: cut to the next smaller whole number
	} {
		near(t, "t", Value{DegreesOfFreedom: c.nu}.CoverageFactor(c.level), c.want, 0.005)
	}
}

func TestUnusableInputs(t *testing.T) {
	id := func(x []float64) float64 { return x[0] }
	if v, err := Propagate(id, Value{X: 1, U: -1}); !errors.Is(err, ErrInput) || !math.IsNaN(v.X) {
		t.Errorf("negative uncertainty: %v, %v", v, err)
	}
	if _, err := Propagate(func(x []float64) float64 { return math.Log(x[0]) }, Value{X: 1, U: 2}); !errors.Is(err, ErrInput) {
		t.Errorf("log reaches below zero: %v", err)
	}
	if v, err := FromObservations([]float64{3}); !errors.Is(err, ErrInput) || !math.IsNaN(v.U) {
		t.Errorf("one observation: %v, %v", v, err)
	}
	contradiction := Correlation{{0, 1}: 0.9, {1, 2}: 0.9, {0, 2}: -0.9}
	in := []Input{{Value: Value{U: 1}}, {Value: Value{U: 1}}, {Value: Value{U: 1}}}
	if _, err := MonteCarlo(id, in, MonteCarloOptions{Correlation: contradiction}); !errors.Is(err, ErrInput) {
		t.Errorf("contradicting correlations: %v", err)
	}
	if _, err := NewBudget(id, in[:1], Correlation{{0, 3}: 0.5}); !errors.Is(err, ErrInput) {
		t.Errorf("correlation of a missing input: %v", err)
	}
}

// Monte Carlo and the law of propagation agree for a nearly linear function
// with correlated inputs, and Student inputs have variance ν/(ν − 2).
func TestMonteCarloAgreesWithPropagation(t *testing.T) {
	in := []Input{{Name: "a", Value: Value{X: 100, U: 1}}, {Name: "b", Value: Value{X: 50, U: 2}}}
	r := Correlation{{0, 1}: 0.8}
	f := func(x []float64) float64 { return x[0] - x[1] }
	b, err := NewBudget(f, in, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "budget", b.Result.U, math.Sqrt(1+4-2*0.8*2), 1e-9)
	d, err := MonteCarlo(f, in, MonteCarloOptions{Correlation: r, Seed: 2})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Monte Carlo", d.Result.U, b.Result.U, 0.01)
	d, err = MonteCarlo(func(x []float64) float64 { return x[0] }, []Input{{Value: Value{U: 1, DegreesOfFreedom: 10}}}, MonteCarloOptions{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Student's t, ν = 10", d.Result.U, math.Sqrt(10.0/8), 0.015)
	near(t, "its 95 % interval", d.Symmetric.High, 2.23, 0.03)
}

func TestValueString(t *testing.T) {
	for _, c := range []struct {
		v    Value
		want string
	}{
		{Value{X: 50.000838, U: 0.000032}, "50.000838 ± 0.000032"},
		{Value{X: -4.64, U: 0.25}, "-4.64 ± 0.25"},
		{Exact(2.5), "2.5"},
	} {
		if got := c.v.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
