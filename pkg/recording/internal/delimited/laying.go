package delimited

import (
	"math"
	"math/bits"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// keptWays is how many ways are followed at a time.
const keptWays = 8

// way is one way to lay values on columns: used has a bit for each column that
// gets one.
type way struct {
	cost float64
	used uint32
}

// valueAt returns the number of the value on column j, −1 for none.
func (w way) valueAt(j int) int {
	if w.used&(1<<j) == 0 {
		return -1
	}
	return bits.OnesCount32(w.used & (1<<j - 1))
}

// layings returns the cheapest ways to lay the values, in order, on columns
// whose last values are given; the cost is the sum of differences.
func layings(u *unit.Unit, values, last []float64) []way {
	best := make([][]way, len(values)+1) // by number of values laid
	best[0] = []way{{}}
	for j := range last {
		next := make([][]way, len(values)+1)
		add := func(m int, w way) {
			ways := append(next[m], w)
			for i := len(ways) - 1; i > 0 && ways[i].cost < ways[i-1].cost; i-- {
				ways[i], ways[i-1] = ways[i-1], ways[i]
			}
			next[m] = ways[:min(keptWays, len(ways))]
		}
		for m, ways := range best {
			for _, w := range ways {
				add(m, w)
				if m < len(values) {
					c := math.Abs(u.SI(values[m]) - last[j])
					if math.IsNaN(c) {
						c = 20 // nothing to compare with
					}
					add(m+1, way{w.cost + c, w.used | 1<<j})
				}
			}
		}
		best = next
	}
	return best[len(values)]
}
