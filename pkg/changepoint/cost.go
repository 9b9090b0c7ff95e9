package changepoint

import "github.com/bonnetbook/bonnetbook/pkg/regression"

func newCost(model Model, x []float64) *regression.Sums {
	return regression.NewSums(x, model == Line)
}

// total is the cost of all regimes of a sequence of length n.
func total(c *regression.Sums, breaks []int, n int) float64 {
	sum, from := 0.0, 0
	for _, b := range breaks {
		sum += c.RSS(from, b)
		from = b
	}
	return sum + c.RSS(from, n)
}
