package heat

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// regression is an ordinary least-squares fit whose covariance allows for
// residuals that resemble their neighbours.
type regression struct {
	b         []float64
	cov       *mat.Dense
	sigma     float64 // of one block
	effective float64 // independent blocks that n correlated ones are worth
}

// regress fits y on the columns. It reports false where the columns are too
// few, too short or dependent. The covariance is scaled by (1+r)/(1−r) with r
// the residuals' lag-1 correlation, as the mean of an AR(1) process demands.
func regress(y []float64, columns ...[]float64) (regression, bool) {
	n, k := len(y), len(columns)
	if n < k+2 {
		return regression{}, false
	}
	x := mat.NewDense(n, k, nil)
	for j, c := range columns {
		x.SetCol(j, c)
	}
	var qr mat.QR
	qr.Factorize(x)
	if qr.Cond() > 1e6 {
		return regression{}, false
	}
	var b mat.Dense
	if err := qr.SolveTo(&b, false, mat.NewDense(n, 1, y)); err != nil {
		return regression{}, false
	}
	r := regression{b: mat.Col(nil, 0, &b)}
	residuals := make([]float64, n)
	rss := 0.0
	for i := range residuals {
		residuals[i] = y[i]
		for j, c := range columns {
			residuals[i] -= r.b[j] * c[i]
		}
		rss += residuals[i] * residuals[i]
	}
	corr := series.Autocorrelation(residuals, 1)
	if math.IsNaN(corr) {
		corr = 0
	}
	corr = math.Min(math.Max(corr+2/float64(n), 0), 0.9)
	inflate := (1 + corr) / (1 - corr)
	r.effective = float64(n) / inflate
	r.sigma = math.Sqrt(rss / float64(n-k))
	var xtx, inverse mat.Dense
	xtx.Mul(x.T(), x)
	if err := inverse.Inverse(&xtx); err != nil {
		return regression{}, false
	}
	inverse.Scale(r.sigma*r.sigma*inflate, &inverse)
	r.cov = &inverse
	return r, true
}

// at returns the fitted value at x, its 95 % half-width, and whether single
// blocks' scatter is to be included.
func (r regression) at(x []float64, block bool) (value, half float64) {
	v := 0.0
	for i := range x {
		value += r.b[i] * x[i]
		for j := range x {
			v += x[i] * x[j] * r.cov.At(i, j)
		}
	}
	if block {
		v += r.sigma * r.sigma
	}
	return value, r.quantile() * math.Sqrt(v)
}

// quantile is the 97.5 % point of Student's t for the effective blocks.
func (r regression) quantile() float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, r.effective-float64(len(r.b)))}.Quantile(0.975)
}

// estimate turns one combination of the coefficients into an Estimate.
func (r regression) estimate(name, unit string, x []float64, count int) Estimate {
	v, half := r.at(x, false)
	return Estimate{Name: name, Unit: unit, Value: v, Low: v - half, High: v + half, Identifiable: true, Count: count}
}

func constant(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}

func column(blocks []block, f func(block) float64) []float64 {
	x := make([]float64, len(blocks))
	for i, b := range blocks {
		x[i] = f(b)
	}
	return x
}

func rises(blocks []block) []float64 { return column(blocks, func(b block) float64 { return b.rise }) }

func draughts(blocks []block) []float64 {
	return column(blocks, func(b block) float64 { return b.draught })
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func deviation(x []float64) float64 {
	m, sum := mean(x), 0.0
	for _, v := range x {
		sum += (v - m) * (v - m)
	}
	return math.Sqrt(sum / float64(len(x)-1))
}
