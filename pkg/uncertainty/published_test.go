package uncertainty_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	. "github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// printed is what testdata/published.R printed.
const printed = "testdata/published.csv"

// JCGM 100, H.1.7: terms of second order make 34 nm of 32 nm; testdata/published.R
// has both by symbolic derivatives.
func TestSecondOrderH1(t *testing.T) {
	v, err := Propagate(func(x []float64) float64 {
		return x[0] + x[1] - (50e6+x[0])*(x[4]*x[3]+x[2]*x[5])
	}, Value{X: 623, U: 25}, Value{X: 215, U: 9.7}, Value{X: 11.5e-6, U: 1.2e-6}, Value{X: -0.1, U: 0.41}, Value{U: 0.58e-6}, Value{U: 0.029})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u of second order", v.U, published.Values(t, printed, "H.1")[2], 1e-6)
}

// JCGM 101, 9.3, calibration of a weight of 100 g: 0.0539 mg by first order,
// 0.0750 mg with the second, 0.0754 mg by Monte Carlo, 95 % from 1.0834 to
// 1.3825 mg (printed numbers from memory, the first two also by
// testdata/published.R).
func TestSupplement1Weight(t *testing.T) {
	f := func(x []float64) float64 { return (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100000 }
	in := []Input{
		{Name: "reference", Value: Value{X: 100000, U: 0.05}}, {Name: "added", Value: Value{X: 1.234, U: 0.02}},
		{Name: "air", Value: Rectangular(1.2, 0.1), Shape: RectangularShape}, {Name: "weight's density", Value: Rectangular(8000, 1000), Shape: RectangularShape},
		{Name: "reference's density", Value: Rectangular(8000, 50), Shape: RectangularShape},
	}
	b, err := NewBudget(f, in, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first order", b.FirstOrder, 0.0539, 0.00005)
	near(t, "second order", b.Result.U, 0.0750, 0.0006) // differences over ±u also hold f_iijj, some 0.5 %
	if !strings.Contains(b.String(), "straight") {
		t.Errorf("nothing is said of second order:\n%v", b)
	}
	d, err := MonteCarlo(f, in, MonteCarloOptions{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Monte Carlo", d.Result.U, 0.0754, 0.0005)
	near(t, "lower end", d.Symmetric.Low, 1.0834, 0.002)
	near(t, "upper end", d.Symmetric.High, 1.3825, 0.002)
}

// JCGM 101, 9.4, loss x1² + x2² with u = 0.005 each: where both are 0 first
// order knows nothing; the second has 50e-6, exact for squares of normals.
func TestSupplement1Loss(t *testing.T) {
	f := func(x []float64) float64 { return x[0]*x[0] + x[1]*x[1] }
	for _, x := range []float64{0, 0.01, 0.05} {
		want := published.Values(t, printed, fmt.Sprintf("9.4 at %g", x))
		in := []Input{{Name: "x1", Value: Value{X: x, U: 0.005}}, {Name: "x2", Value: Value{U: 0.005}}}
		b, err := NewBudget(f, in, nil)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "first order", b.FirstOrder, 2*x*0.005, 1e-12)
		near(t, "second order", b.Result.U, want[1], 1e-9)
		v, err := Propagate(f, in[0].Value, in[1].Value)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "by Propagate", v.U, want[1], 1e-9)
		if x < 0.05 && len(b.Warnings) == 0 {
			t.Errorf("at %g nothing is said of second order", x)
		}
		d, err := MonteCarlo(f, in, MonteCarloOptions{Seed: 2})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean by Monte Carlo", d.Result.X, want[0], 4*want[1]/math.Sqrt(200_000))
		near(t, "u by Monte Carlo", d.Result.U, want[1], 0.02*want[1])
		if x == 0 {
			near(t, "shortest interval", d.Shortest.High, 150e-6, 2e-6)
		}
	}
	// With the two correlated, var(x1² + x2²) = 4u⁴(1 + r²) at 0.
	_, r, err := FromJointObservations([]float64{1, 2, 4}, []float64{2, 1, 3})
	if err != nil {
		t.Fatal(err)
	}
	outputs, _, err := PropagateMany(func(x []float64) []float64 { return []float64{f(x)} }, []Value{{U: 0.005}, {U: 0.005}}, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "correlated", outputs[0].U, 50e-6*math.Sqrt(1+r.At(0, 1)*r.At(0, 1)), 1e-9)
}

// JCGM 100, H.2, table H.2: five joint observations leave four degrees of
// freedom, so that the factor for 95 % is 2.78.
func TestJointObservationsKeepTheirDegreesOfFreedom(t *testing.T) {
	v := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	i := []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	phi := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	values, r, err := FromJointObservations(v, i, phi)
	if err != nil {
		t.Fatal(err)
	}
	resistance := func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) }
	b, err := NewBudget(resistance, []Input{{Name: "V", Value: values[0]}, {Name: "I", Value: values[1]}, {Name: "phi", Value: values[2]}}, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "degrees of freedom", b.Result.DegreesOfFreedom, 4, 1e-9)
	near(t, "factor", b.Result.CoverageFactor(0.95), published.Values(t, printed, "t 4")[0], 1e-9)
	sum := 0.0
	for _, l := range b.Lines {
		sum += l.Share
	}
	near(t, "shares", sum, 1, 1e-9)
	y, _, err := PropagateMany(func(x []float64) []float64 { return []float64{resistance(x)} }, values, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "degrees of freedom of many", y[0].DegreesOfFreedom, 4, 1e-9)

	// With a further, independent input equation (G.2b) holds between the two.
	c := append(values, Value{X: 1, U: 0.0005, DegreesOfFreedom: 9})
	y, _, err = PropagateMany(func(x []float64) []float64 { return []float64{resistance(x) * x[3]} }, c, r)
	if err != nil {
		t.Fatal(err)
	}
	u1, u2 := b.FirstOrder, 0.0005*127.732
	near(t, "of both", y[0].DegreesOfFreedom, math.Pow(u1*u1+u2*u2, 2)/(math.Pow(u1, 4)/4+math.Pow(u2, 4)/9), 0.01)
}

// Intervals for a function of three joint observations hold it in 95 of 100
// cases, whatever the correlation.
func TestCoverageAfterJointObservations(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	held, trials := 0, 4000
	for range trials {
		var x, y []float64
		for range 3 {
			a, b := random.NormFloat64(), random.NormFloat64()
			x, y = append(x, 10+a), append(y, 5+0.8*a+0.6*b)
		}
		values, r, err := FromJointObservations(x, y)
		if err != nil {
			t.Fatal(err)
		}
		out, _, err := PropagateMany(func(x []float64) []float64 { return []float64{x[0] + 0.5*x[1]} }, values, r)
		if err != nil {
			t.Fatal(err)
		}
		if out[0].Interval(0.95).Contains(12.5) {
			held++
		}
	}
	near(t, "share that holds", float64(held)/float64(trials), 0.95, 0.0087) // 2.5 standard errors
}

// A difference of two readings that share all their error is exact, and nobody
// contributes to nothing.
func TestFullCorrelation(t *testing.T) {
	in := []Input{{Name: "a", Value: Value{X: 3, U: 1}}, {Name: "b", Value: Value{X: 1, U: 1}}}
	difference := func(x []float64) float64 { return x[0] - x[1] }
	b, err := NewBudget(difference, in, Correlation{{I: 0, J: 1}: 1})
	if err != nil {
		t.Fatal(err)
	}
	if b.Result.U > 1e-12 || !math.IsNaN(b.Lines[0].Share) || strings.Contains(b.String(), " 0 %") || strings.Contains(b.String(), "NaN %") {
		t.Errorf("u %g:\n%v", b.Result.U, b)
	}
	if b, err = NewBudget(func(x []float64) float64 { return x[0] + 3*x[1] }, in, Correlation{{I: 0, J: 1}: 1}); err != nil {
		t.Fatal(err)
	}
	near(t, "u", b.Result.U, 4, 1e-9)
	near(t, "share of a", b.Lines[0].Share, 0.25, 1e-9)
	near(t, "share of b", b.Lines[1].Share, 0.75, 1e-9)
}

func TestUnknownUncertaintyIsNotExact(t *testing.T) {
	for _, u := range []float64{math.NaN(), math.Inf(1), -1} {
		if s := (Value{X: 2.5, U: u}).String(); s != "2.5 with an unknown uncertainty" {
			t.Errorf("u %g: %q", u, s)
		}
	}
}

// JCGM 106, 7.4 and examples: testdata/published.R.
func TestConformance(t *testing.T) {
	near(t, "7.4", Value{X: 13.6, U: 1.8}.Within(12.5, 16.3), published.Values(t, printed, "conformance 13.6")[0], 1e-12)
	near(t, "zener", Value{X: -5.47, U: 0.05}.Within(math.Inf(-1), -5.40), published.Values(t, printed, "conformance zener")[0], 1e-12)
	near(t, "burst", Value{X: 509.7, U: 8.6}.Within(490, math.Inf(1)), published.Values(t, printed, "conformance burst")[0], 1e-12)
	near(t, "t with four degrees of freedom", Value{U: 1, DegreesOfFreedom: 4}.Within(-published.Values(t, printed, "t 4")[0], published.Values(t, printed, "t 4")[0]), 0.95, 1e-9)
	near(t, "exact", Exact(1).Within(0, 1), 1, 0)
}

// Certified values of the NIST Statistical Reference Datasets, univariate:
// testdata/lew.csv, mavro.csv, michelso.csv; NumAcc1 to 4 are made here. The
// readings of NumAcc4 are rounded to the nearest double before anybody sees
// them, so that their exact deviation has 8.25 correct digits.
func TestNISTUnivariate(t *testing.T) {
	read := func(name string) (x []float64) {
		text, err := os.ReadFile("testdata/" + name + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(text)) {
			if v, err := strconv.ParseFloat(strings.TrimSpace(line), 64); err == nil {
				x = append(x, v)
			}
		}
		return x
	}
	around := func(first, low, high float64) []float64 {
		x := []float64{first}
		for range 500 {
			x = append(x, low, high)
		}
		return x
	}
	for _, c := range []struct {
		name            string
		x               []float64
		mean, deviation float64
		digits          float64
	}{
		{"Michelso", read("michelso"), 299.852400000000, 0.0790105478190518, 12},
		{"Mavro", read("mavro"), 2.00185600000000, 0.000429123454003053, 12},
		{"Lew", read("lew"), -177.435000000000, 277.332168044316, 14},
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 14},
		{"NumAcc2", around(1.2, 1.1, 1.3), 1.2, 0.1, 13},
		{"NumAcc3", around(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 9},
		{"NumAcc4", around(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 8.2},
	} {
		v, err := FromObservations(c.x)
		if err != nil {
			t.Fatal(err)
		}
		n := float64(len(c.x))
		near(t, c.name+": mean", v.X, c.mean, 1e-14*math.Abs(c.mean))
		near(t, c.name+": deviation", v.U*math.Sqrt(n), c.deviation, math.Pow(10, -c.digits)*c.deviation)
	}
}
