//go:build proof

package thermostat

import (
	"fmt"
	"math"
	"testing"
)

// The limits of the proof. One fails where the observed rate misses it by more
// than missedBy standard errors. Drives of one car go together; a standard
// error is that between cars, or the binomial one at the limit if that is more.
const (
	coverageLow, coverageHigh = 0.93, 0.97 // all variants, equal weight
	variantLow, variantHigh   = 0.90, 0.99 // each; the upper one where the median width is above wide
	wide                      = 20.0       // s
	falseMost                 = 0.01
	stuckLeast                = 0.80
	missedBy                  = 2.5
)

// A rate is a share of drives with its standard error.
type rate struct{ value, error, n float64 }

// rateOf is the share of hits over cars, each a pair of hits and trials. at is
// the limit that it is held against.
func rateOf(cars map[string][2]float64, at float64) rate {
	var hits, trials float64
	for _, c := range cars {
		hits, trials = hits+c[0], trials+c[1]
	}
	r := rate{value: hits / trials, n: trials}
	sum, m := 0.0, float64(len(cars))
	for _, c := range cars {
		d := c[0] - r.value*c[1]
		sum += d * d
	}
	if m > 1 {
		r.error = math.Sqrt(sum*m/(m-1)) / trials
	}
	r.error = max(r.error, math.Sqrt(at*(1-at)/trials))
	return r
}

// equally is the mean of rates, each of the same weight.
func equally(all []rate) rate {
	var r rate
	for _, x := range all {
		r.value += x.value / float64(len(all))
		r.error = math.Hypot(r.error, x.error/float64(len(all)))
		r.n += x.n
	}
	return r
}

// held prints a rate beside a limit, and fails the test where it is missed.
// above says that the rate must not be below the limit.
func (r rate) held(t *testing.T, what string, limit float64, above bool) {
	t.Helper()
	miss := limit - r.value
	if !above {
		miss = -miss
	}
	sign, word := "≤", "holds"
	if above {
		sign = "≥"
	}
	if miss > 0 {
		word = fmt.Sprintf("missed by %.1f standard errors", miss/r.error)
	}
	if miss > missedBy*r.error {
		word += ": FAILS"
		t.Errorf("%s: %.1f %%, limit %s %.0f %%", what, 100*r.value, sign, 100*limit)
	}
	fmt.Printf("  %-62s %5.1f ± %3.1f %% of %4.0f, limit %s %.0f %%: %s\n", what, 100*r.value, 100*r.error, r.n, sign, 100*limit, word)
}

// limits holds a table against the limits.
func (b *table) limits(t *testing.T, name string, variants []string) {
	fmt.Printf("\n%s, limits\n", name)
	for _, set := range proofSets[:3] {
		for _, step := range proofSteps {
			s := fmt.Sprint(step)
			if b.at(set.name, s, kindOpens, "").n == 0 {
				continue
			}
			label := fmt.Sprintf("%s, %s s: ", set.name, s)
			var low, high []rate
			worst := rate{value: 2}
			worstName := ""
			for _, v := range variants {
				c := b.at(set.name, s, kindOpens, v)
				if len(c.errors) < 5 {
					continue // hardly any answer
				}
				low, high = append(low, rateOf(c.cars, coverageLow)), append(high, rateOf(c.cars, coverageHigh))
				if r := rateOf(c.cars, variantLow); r.value < worst.value {
					worst, worstName = r, v
				}
				if r := rateOf(c.cars, variantHigh); r.value > variantHigh && quantileOf(c.widths, 0.5) > wide {
					r.held(t, label+v+", not too wide", variantHigh, false)
				}
			}
			if len(low) == 0 {
				continue
			}
			equally(low).held(t, label+"interval holds, variants alike", coverageLow, true)
			equally(high).held(t, label+"interval holds, variants alike", coverageHigh, false)
			worst.held(t, label+"interval holds, worst variant, "+worstName, variantLow, true)
			shut := map[string][2]float64{}
			for _, kind := range closedKinds {
				for car, x := range b.at(set.name, s, kind, "").opened {
					shut[kind+car] = x
				}
			}
			rateOf(shut, falseMost).held(t, label+"false openings", falseMost, false)
			stuck := b.at(set.name, s, kindStuck, "")
			rateOf(stuck.stuck, stuckLeast).held(t, label+"stuck open recognised", stuckLeast, true)
			fmt.Printf("  %-62s %d of %d\n", label+"stuck open called neither that nor not decidable", stuck.outcomes[NotReached]+stuck.outcomes[Opened]+stuck.outcomes[AlreadyOpen], stuck.n)
		}
	}
}
