package thermostat

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A lead is by how much the first flow comes before what a channel shows of it:
// a distribution, as its quantiles at even steps, s. Errors that are added at
// their worst make an interval that is never wrong and says little; what is
// known of each is a distribution, and the interval is that of their sum.
type lead []float64

const leadParts = 8

// exponentialLead is a lead that is most often short: the hose is filled within
// seconds or the valve lifts slowly.
func exponentialLead(mean float64) lead {
	var l lead
	for i := range leadParts {
		l = append(l, -mean*math.Log(1-(float64(i)+0.5)/leadParts))
	}
	return l
}

// firstFlow returns the median and the 95 % interval of the first flow, for the
// posterior of a channel's departure, the channel's lead and a reading that
// stands for the time within half to either side.
func firstFlow(p changepoint.Posterior, l lead, half float64) (float64, series.Interval) {
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
	n := float64(len(all))
	return all[int(0.5*n)], series.Interval{From: all[int(0.025*n)], To: all[int(0.975*n)]}
}
