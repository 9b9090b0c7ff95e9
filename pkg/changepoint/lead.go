package changepoint

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A Lead is by how much a cause comes before the onset that shows it: a
// distribution, as its quantiles at even steps, in the unit of the abscissae.
// Errors that are added at their worst make an interval that is never wrong and
// says little; what is known of each is a distribution, and the interval is that
// of their sum.
type Lead []float64

const leadParts = 8

// ExponentialLead is a lead that is most often short, of the given mean, 0 or
// more.
func ExponentialLead(mean float64) Lead {
	var l Lead
	for i := range leadParts {
		l = append(l, -mean*math.Log(1-(float64(i)+0.5)/leadParts))
	}
	return l
}

// Cause returns the median of an onset's cause and the interval that holds it
// with a probability of level, 0 to 1. An onset may lie up to half to either
// side of where the posterior puts it.
func (p Posterior) Cause(l Lead, half, level float64) (float64, estimate.Interval) {
	const quantiles, places = 40, 5
	var all []float64
	for i := range quantiles {
		t := p.Quantile((float64(i) + 0.5) / quantiles)
		for _, d := range l {
			for k := range places {
				all = append(all, t-d+half*((2*float64(k)+1)/places-1))
			}
		}
	}
	slices.Sort(all)
	at := func(q float64) float64 { return all[int(q*float64(len(all)))] }
	return at(0.5), estimate.Interval{Low: at((1 - level) / 2), High: at((1 + level) / 2), Level: level}
}
