package regression_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// printed is what testdata/regression.R printed.
const printed = "testdata/regression.csv"

// table returns the columns of a file with one line of names.
func table(t testing.TB, name string) [][]float64 {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	columns := make([][]float64, len(rows[0]))
	for _, r := range rows[1:] {
		for j, s := range r {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			columns[j] = append(columns[j], v)
		}
	}
	return columns
}

// agree compares relatively.
func agree(t testing.TB, name string, got, want []float64, tolerance float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %v, want %v", name, got, want)
	}
	for i := range got {
		if !(math.Abs(got[i]-want[i]) <= tolerance*math.Abs(want[i])) {
			t.Errorf("%s[%d]: %.15g, want %.15g", name, i, got[i], want[i])
		}
	}
}

func fit(t testing.TB, y []float64, columns [][]float64, opts regression.Options) regression.Fit {
	t.Helper()
	f, err := regression.LeastSquares(y, columns, opts)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func standardErrors(f regression.Fit) []float64 {
	u := make([]float64, len(f.Coefficients))
	for j := range u {
		u[j] = f.StandardError(j)
	}
	return u
}

func covariance(f regression.Fit) []float64 {
	var all []float64
	for i := range f.Coefficients {
		for j := range f.Coefficients {
			all = append(all, f.Covariance(i, j))
		}
	}
	return all
}

// Certified values of the NIST Statistical Reference Datasets, linear
// regression, files Norris.dat and Longley.dat.
func TestNISTCertified(t *testing.T) {
	norris := table(t, "testdata/norris.csv")
	f := fit(t, norris[0], [][]float64{regression.Ones(len(norris[0])), norris[1]}, regression.DefaultOptions())
	agree(t, "Norris coefficients", f.Coefficients, []float64{-0.262323073774029, 1.00211681802045}, 1e-12)
	agree(t, "Norris standard errors", standardErrors(f), []float64{0.232818234301152, 0.429796848199937e-03}, 1e-12)
	agree(t, "Norris RSS", []float64{f.RSS}, []float64{26.6173985294224}, 1e-12)

	longley := table(t, "testdata/longley.csv")
	columns := append([][]float64{regression.Ones(len(longley[0]))}, longley[1:]...)
	f = fit(t, longley[0], columns, regression.DefaultOptions())
	agree(t, "Longley coefficients", f.Coefficients, []float64{-3482258.63459582, 15.0618722713733, -0.0358191792925910,
		-2.02022980381683, -1.03322686717359, -0.0511041056535807, 1829.15146461355}, 1e-10)
	u := standardErrors(f)
	agree(t, "Longley standard errors", []float64{u[0], u[6]}, []float64{890420.383607373, 455.478499142212}, 1e-10)
	agree(t, "Longley RSS", []float64{f.RSS}, []float64{836424.055505915}, 1e-10)
	if f.DegreesOfFreedom != 9 || f.Rank != 7 || f.Condition < 1e8 {
		t.Errorf("Longley: %v degrees of freedom, rank %d, condition %.3g", f.DegreesOfFreedom, f.Rank, f.Condition)
	}
}

// NIST StRD, Filip: a polynomial of degree 10 whose columns double arithmetic
// hardly tells apart. As it stands six digits can be had; in (x − mean)/deviation
// the residuals and, carried back, the highest coefficient have more.
func TestNISTFilip(t *testing.T) {
	filip := table(t, "testdata/filip.csv")
	power := func(x []float64) (columns [][]float64) {
		for k := range 11 {
			column := make([]float64, len(x))
			for i, v := range x {
				column[i] = math.Pow(v, float64(k))
			}
			columns = append(columns, column)
		}
		return columns
	}
	y, x := filip[0], filip[1]
	certified := []float64{-1467.48961422980, -2772.17959193342, -2316.37108160893, -1127.97394098372, -354.478233703349, -75.1242017393757,
		-10.8753180355343, -1.06221498588947, -0.670191154593408e-01, -0.246781078275479e-02, -0.402962525080404e-04}
	agree(t, "Filip as it stands", fit(t, y, power(x), regression.DefaultOptions()).Coefficients, certified, 1e-6)
	const mean, deviation = -5.85, 1.6
	scaled := make([]float64, len(x))
	for i, v := range x {
		scaled[i] = (v - mean) / deviation
	}
	f := fit(t, y, power(scaled), regression.DefaultOptions())
	agree(t, "Filip RSS", []float64{f.RSS}, []float64{0.795851382172941e-03}, 1e-9)
	agree(t, "Filip highest coefficient", []float64{f.Coefficients[10] / math.Pow(deviation, 10)}, []float64{-0.402962525080404e-04}, 1e-7)
	agree(t, "its standard error", []float64{f.StandardError(10) / math.Pow(deviation, 10)}, []float64{0.896632837373868e-05}, 1e-7)
}

func TestIntervalsAndWeightsAsR(t *testing.T) {
	cars := table(t, "testdata/cars.csv")
	columns := [][]float64{regression.Ones(len(cars[0])), cars[0]}
	f := fit(t, cars[1], columns, regression.DefaultOptions())
	agree(t, "coefficients", f.Coefficients, published.Values(t, printed, "cars coefficients"), 1e-12)
	agree(t, "covariance", covariance(f), published.Values(t, printed, "cars covariance"), 1e-12)
	agree(t, "sigma", []float64{f.Sigma}, published.Values(t, printed, "cars sigma"), 1e-12)
	x := []float64{1, 21}
	v, _ := f.At(x)
	low, high := f.Interval(x, 0.9)
	agree(t, "confidence", []float64{v, low, high}, published.Values(t, printed, "cars confidence at 21"), 1e-9)
	low, high = f.Prediction(x, 0.9)
	agree(t, "prediction", []float64{v, low, high}, published.Values(t, printed, "cars prediction at 21"), 1e-9)

	opts := regression.DefaultOptions()
	for _, speed := range cars[0] {
		opts.Weights = append(opts.Weights, 1/speed)
	}
	f = fit(t, cars[1], columns, opts)
	agree(t, "weighted coefficients", f.Coefficients, published.Values(t, printed, "cars weighted coefficients"), 1e-12)
	agree(t, "weighted covariance", covariance(f), published.Values(t, printed, "cars weighted covariance"), 1e-12)
}

func TestYuleWalkerAsR(t *testing.T) {
	for name, x := range map[string][]float64{"lh": table(t, "testdata/lh.csv")[0], "Nile": nile(t)} {
		a := regression.YuleWalker(x, 10)
		agree(t, name, a.Coefficients, published.Values(t, printed, "ar "+name), 1e-12)
		// R divides by n − (order + 1) instead of n.
		n := float64(len(x))
		agree(t, name+" variance", []float64{a.Innovation * n / (n - float64(len(a.Coefficients)+1))}, published.Values(t, printed, "ar "+name+" variance"), 1e-12)
	}
}

func nile(t testing.TB) []float64 {
	return table(t, "../changepoint/testdata/nile.csv")[1]
}

func line(n int) [][]float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = float64(i)
	}
	return [][]float64{regression.Ones(n), t}
}

// Generalised least squares with a given AR(1): by R with the dense covariance
// matrix, and by nlme's gls.
func TestGivenAutoregressionAsR(t *testing.T) {
	y := nile(t)
	opts := regression.DefaultOptions()
	opts.Noise, opts.Autoregression = regression.Prewhitened, []float64{0.3}
	f := fit(t, y, line(len(y)), opts)
	agree(t, "coefficients", f.Coefficients, published.Values(t, printed, "Nile gls 0.3 coefficients"), 1e-10)
	agree(t, "covariance", covariance(f), published.Values(t, printed, "Nile gls 0.3 covariance"), 1e-10)
	agree(t, "coefficients, nlme", f.Coefficients, published.Values(t, printed, "Nile nlme 0.3 coefficients"), 1e-10)
	agree(t, "covariance, nlme", covariance(f), published.Values(t, printed, "Nile nlme 0.3 covariance"), 1e-10)
	agree(t, "sigma, nlme", []float64{f.Sigma}, published.Values(t, printed, "Nile nlme 0.3 sigma"), 1e-10)
	// R's sum of squares is that of innovations of variance 1 − φ² as here.
	agree(t, "RSS", []float64{f.RSS}, published.Values(t, printed, "Nile gls 0.3 rss"), 1e-10)
	if want := 100 * 0.7 / 1.3; math.Abs(f.EffectiveRows-want) > 1e-9 {
		t.Errorf("worth %v rows, want %v", f.EffectiveRows, want)
	}

	opts.Autoregression = []float64{0.4, -0.2}
	f = fit(t, y, line(len(y)), opts)
	agree(t, "AR(2) coefficients", f.Coefficients, published.Values(t, printed, "Nile AR2 coefficients"), 1e-10)
	agree(t, "AR(2) covariance", covariance(f), published.Values(t, printed, "Nile AR2 covariance"), 1e-10)
	agree(t, "AR(2) first correlation", []float64{f.Correlation}, published.Values(t, printed, "AR2 correlation"), 1e-12)
	agree(t, "AR(2) variance", []float64{f.Sigma * f.Sigma * f.DegreesOfFreedom / f.RSS}, published.Values(t, printed, "AR2 variance"), 1e-12)
}

// Fit and correlation in turns, without giving back what the fit takes off.
func TestIteratedAutoregressionAsR(t *testing.T) {
	y := nile(t)
	opts := regression.DefaultOptions()
	opts.Noise, opts.Bias = regression.Prewhitened, 0
	f := fit(t, y, line(len(y)), opts)
	agree(t, "phi", f.Autoregression, published.Values(t, printed, "Nile iterated phi"), 1e-8)
	agree(t, "coefficients", f.Coefficients, published.Values(t, printed, "Nile iterated coefficients"), 1e-8)
}

// The mean of AR(1) values with r = 0.7: 200 are worth 35.3 (Bayley &
// Hammersley's formula). With a level alone the covariance is s²/n_eff.
func TestEffectiveSize(t *testing.T) {
	y := table(t, "testdata/lh.csv")[0]
	opts := regression.DefaultOptions()
	opts.Noise, opts.Bias = regression.EffectiveSize, 0
	f := fit(t, y, [][]float64{regression.Ones(len(y))}, opts)
	// R: acf(lh) prints 0.576 at lag 1.
	if math.Abs(f.Correlation-0.5755) > 5e-5 {
		t.Errorf("correlation %v", f.Correlation)
	}
	if want := f.Sigma / math.Sqrt(48*(1-f.Correlation)/(1+f.Correlation)); math.Abs(f.StandardError(0)-want) > 1e-12 {
		t.Errorf("standard error %v, want %v", f.StandardError(0), want)
	}
}

func TestMissingRowsAreLeftOut(t *testing.T) {
	cars := table(t, "testdata/cars.csv")
	y, x := []float64{math.NaN()}, []float64{3}
	for i := range cars[0] {
		y, x = append(y, cars[1][i], 5), append(x, cars[0][i], math.NaN())
	}
	f := fit(t, y, [][]float64{regression.Ones(len(y)), x}, regression.DefaultOptions())
	agree(t, "coefficients", f.Coefficients, published.Values(t, printed, "cars coefficients"), 1e-12)
	if f.Rows != 50 || f.Missing != 51 || !math.IsNaN(f.Residuals[0]) || math.IsNaN(f.Residuals[1]) {
		t.Errorf("%d rows, %d missing, residuals %v", f.Rows, f.Missing, f.Residuals[:2])
	}
}

func TestDependentColumnsAreTold(t *testing.T) {
	cars := table(t, "testdata/cars.csv")
	one := regression.Ones(50)
	twice := make([]float64, 50)
	for i, v := range cars[0] {
		twice[i] = 3 - 2*v
	}
	f, err := regression.LeastSquares(cars[1], [][]float64{one, cars[0], twice, one}, regression.DefaultOptions())
	if !errors.Is(err, regression.ErrDependent) {
		t.Fatalf("error %v", err)
	}
	if f.Rank != 2 || len(f.Dependent) != 2 || f.Dependent[0] != 2 || f.Dependent[1] != 3 {
		t.Errorf("rank %d, dependent %v", f.Rank, f.Dependent)
	}
	agree(t, "coefficients", f.Coefficients, append(published.Values(t, printed, "cars coefficients"), 0, 0), 1e-12)
	if !math.IsNaN(f.StandardError(2)) {
		t.Errorf("standard error %v of a dependent column", f.StandardError(2))
	}
}

func TestUnsuitableInput(t *testing.T) {
	one := regression.Ones(5)
	weights, unstable, both := regression.DefaultOptions(), regression.DefaultOptions(), regression.DefaultOptions()
	weights.Weights = []float64{1, 1, 0, 1, 1}
	unstable.Noise, unstable.Autoregression = regression.Prewhitened, []float64{1}
	both.Noise, both.Weights = regression.Prewhitened, one
	for name, c := range map[string]struct {
		y       []float64
		columns [][]float64
		opts    regression.Options
	}{
		"no column":        {one, nil, regression.DefaultOptions()},
		"lengths":          {one, [][]float64{one[:4]}, regression.DefaultOptions()},
		"infinite":         {one, [][]float64{{1, 2, math.Inf(1), 4, 5}}, regression.DefaultOptions()},
		"infinite y":       {[]float64{1, 2, 3, 4, math.Inf(-1)}, [][]float64{one}, regression.DefaultOptions()},
		"too few rows":     {one[:1], [][]float64{one[:1], {2}}, regression.DefaultOptions()},
		"all zero":         {one, [][]float64{make([]float64, 5)}, regression.DefaultOptions()},
		"weight 0":         {one, [][]float64{one}, weights},
		"not stationary":   {one, [][]float64{one}, unstable},
		"weights and lags": {one, [][]float64{one}, both},
		"not the defaults": {one, [][]float64{one}, regression.Options{Noise: regression.EffectiveSize}},
		"no term":          {one, [][]float64{one}, regression.Options{Noise: regression.Prewhitened, MaxCorrelation: 0.9}},
		"unknown noise":    {one, [][]float64{one}, regression.Options{Noise: 3}},
	} {
		if _, err := regression.LeastSquares(c.y, c.columns, c.opts); !errors.Is(err, regression.ErrInput) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}
