package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// mostCondition is the condition number from which columns count as
// dependent: what they say apart is then lost in the probes' noise.
const mostCondition = 1e6

// regress fits y on the columns, with residuals that resemble their
// neighbours. It reports false where the columns are too few, too short or
// dependent.
func regress(y []float64, columns ...[]float64) (regression.Fit, bool) {
	if len(y) < len(columns)+2 {
		return regression.Fit{}, false
	}
	opts := regression.DefaultOptions()
	opts.Noise = regression.EffectiveSize
	f, err := regression.LeastSquares(y, columns, opts)
	return f, err == nil && f.Condition <= mostCondition
}

func constant(n int) []float64 { return regression.Ones(n) }

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
