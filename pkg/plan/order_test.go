package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
)

// Why a card alternates. Eight drives on which nothing was changed, 70 % of
// their variance a part that lasts from drive to drive with correlation phi: how
// often four and four drives differ "at 5 %" when one configuration comes first,
// and when the card's order is kept and neighbours are compared. The same
// experiment in R (20,000 campaigns, other random numbers) gave the shares and
// deviations below; the blinded drift is arithmetic.
func TestTheOrderOfACard(t *testing.T) {
	card, err := plan.NewCard("A", "B", 4)
	if err != nil {
		t.Fatal(err)
	}
	blocks := []string{"A", "A", "A", "A", "B", "B", "B", "B"}
	for _, c := range []struct{ phi, blockShare, blockSD, cardShare, cardSD float64 }{
		{0, 5.0, 0.709, 5.3, 0.705}, {0.5, 12.7, 0.847, 5.6, 0.593}, {0.8, 16.7, 0.794, 5.2, 0.474}, {0.95, 11.2, 0.564, 4.9, 0.407},
	} {
		random := rand.New(rand.NewPCG(20261126, uint64(100*c.phi)))
		var inBlocks, inTurn judged
		for range 20_000 {
			values := lasting(random, c.phi)
			inBlocks.add(contrast.Welch(side(values, blocks, "A"), side(values, blocks, "B")))
			inTurn.add(contrast.Paired(side(values, card.Drives, "A"), side(values, card.Drives, "B")))
		}
		within(t, fmt.Sprintf("phi %g, blocks, share", c.phi), inBlocks.share(), c.blockShare, 0.8) // three standard errors of both
		within(t, fmt.Sprintf("phi %g, blocks, deviation", c.phi), inBlocks.deviation(), c.blockSD, 0.015)
		within(t, fmt.Sprintf("phi %g, card, share", c.phi), inTurn.share(), c.cardShare, 0.8)
		within(t, fmt.Sprintf("phi %g, card, deviation", c.phi), inTurn.deviation(), c.cardSD, 0.015)
	}
	var drift []float64
	for i := range 8 {
		drift = append(drift, 2*float64(i)/7)
	}
	for _, c := range []struct {
		order []string
		bias  float64
	}{{blocks, 8.0 / 7}, {[]string{"A", "B", "A", "B", "A", "B", "A", "B"}, 2.0 / 7}, {card.Drives, 0}} {
		d, err := contrast.Paired(side(drift, c.order, "A"), side(drift, c.order, "B"))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint("bias by drift, ", c.order), d.Delta, c.bias, 1e-12)
	}
}

// lasting draws eight drives of variance 1.
func lasting(random *rand.Rand, phi float64) []float64 {
	values, part := make([]float64, 8), random.NormFloat64()
	for i := range values {
		if i > 0 {
			part = phi*part + math.Sqrt(1-phi*phi)*random.NormFloat64()
		}
		values[i] = math.Sqrt(0.7)*part + math.Sqrt(0.3)*random.NormFloat64()
	}
	return values
}

// side picks the values of one configuration, in order.
func side(values []float64, order []string, name string) (picked []float64) {
	for i, v := range values {
		if order[i] == name {
			picked = append(picked, v)
		}
	}
	return picked
}

type judged struct{ n, beyond, sum, squares float64 }

// add counts a campaign whose t is beyond the two-sided 5 % of its design: 6
// degrees of freedom of two sides of four, 3 of four pairs.
func (j *judged) add(d contrast.T, err error) {
	if err != nil {
		panic(err)
	}
	limit := 2.4469 // t of 6 degrees of freedom; standard errors of equal sides are Welch's
	if d.DegreesOfFreedom == 3 {
		limit = 3.1824
	}
	j.n++
	if math.Abs(d.Delta/d.StandardError) > limit {
		j.beyond++
	}
	j.sum += d.Delta
	j.squares += d.Delta * d.Delta
}

func (j *judged) share() float64 { return 100 * j.beyond / j.n }

func (j *judged) deviation() float64 { return math.Sqrt(j.squares/j.n - math.Pow(j.sum/j.n, 2)) }
