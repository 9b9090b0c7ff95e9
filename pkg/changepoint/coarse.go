package changepoint

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// Coarse is [Pelt] for long sequences: it searches block means and then places
// each break exactly between its neighbours. Cost is linear in the length. A
// regime shorter than two blocks can be missed; the block length is ⌈n/blocks⌉.
// penalty is per break in units of the full sequence, as for Pelt. It fails as
// Pelt does, and for fewer than 16 blocks.
func Coarse(x []float64, model Model, penalty float64, minLength, blocks int) (Fit, error) {
	if blocks < 16 {
		return Fit{}, fmt.Errorf("changepoint: %d blocks: %w: at least 16 are needed", blocks, ErrInput)
	}
	if err := check(x, minLength, model.coefficients()); err != nil {
		return Fit{}, err
	}
	n := len(x)
	size := (n + blocks - 1) / blocks
	if size < 2 {
		return Pelt(x, model, penalty, minLength)
	}
	means := blockMeans(x, size)
	coarse := pelt(newCost(model, means), model, len(means), penalty/float64(size),
		max(model.coefficients(), (minLength+size-1)/size))
	fit := Fit{Model: model, N: n}
	for _, b := range coarse.Breaks {
		fit.Breaks = append(fit.Breaks, b*size)
	}
	c := newCost(model, x)
	refine(c, fit.Breaks, n, size, minLength)
	fit.Breaks = dropIdle(c, fit.Breaks, n, penalty)
	refine(c, fit.Breaks, n, size, minLength)
	fit.RSS = total(c, fit.Breaks, n)
	return fit, nil
}

// blockMeans returns the means of consecutive blocks. A last block of less
// than half the size joins no mean: its few values would weigh like a block.
func blockMeans(x []float64, size int) []float64 {
	var means []float64
	for a := 0; a < len(x); a += size {
		b := min(a+size, len(x))
		if 2*(b-a) < size && a > 0 {
			break
		}
		sum := 0.0
		for _, v := range x[a:b] {
			sum += v
		}
		means = append(means, sum/float64(b-a))
	}
	return means
}

// dropIdle removes breaks that are not worth the penalty: a block that lies
// across a break looks like a regime of its own until the break is placed.
func dropIdle(c *regression.Sums, breaks []int, n int, penalty float64) []int {
	for len(breaks) > 0 {
		worst, least := -1, penalty
		for i, b := range breaks {
			lo, hi := 0, n
			if i > 0 {
				lo = breaks[i-1]
			}
			if i+1 < len(breaks) {
				hi = breaks[i+1]
			}
			if gain := c.RSS(lo, hi) - c.RSS(lo, b) - c.RSS(b, hi); gain < least {
				worst, least = i, gain
			}
		}
		if worst < 0 {
			break
		}
		breaks = append(breaks[:worst], breaks[worst+1:]...)
	}
	return breaks
}

// refine moves each break to the best place within two blocks, its
// neighbours held, twice.
func refine(c *regression.Sums, breaks []int, n, size, minLength int) {
	for range 2 {
		for i, b := range breaks {
			lo, hi := 0, n
			if i > 0 {
				lo = breaks[i-1]
			}
			if i+1 < len(breaks) {
				hi = breaks[i+1]
			}
			best := c.RSS(lo, b) + c.RSS(b, hi)
			for k := max(lo+minLength, b-2*size); k <= min(hi-minLength, b+2*size); k++ {
				if v := c.RSS(lo, k) + c.RSS(k, hi); v < best {
					best, breaks[i] = v, k
				}
			}
		}
	}
}
