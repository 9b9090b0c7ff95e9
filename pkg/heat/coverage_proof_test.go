//go:build proof

package heat

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

func kelvinOf(k float64) quantity.Temperature { return quantity.Kelvin(k) }

// tally counts intervals against truths.
type tally struct {
	names []string
	rows  map[string]*row
}

type row struct {
	asked          int
	held           int
	errors, widths []float64
}

func (c *tally) row(name string) *row {
	if c.rows == nil {
		c.rows = map[string]*row{}
	}
	if c.rows[name] == nil {
		c.rows[name] = &row{}
		c.names = append(c.names, name)
	}
	return c.rows[name]
}

func (c *tally) note(name string, known bool, value, low, high, truth float64) {
	r := c.row(name)
	r.asked++
	if !known || math.IsNaN(truth) {
		return
	}
	r.errors, r.widths = append(r.errors, value-truth), append(r.widths, high-low)
	if low <= truth && truth <= high {
		r.held++
	}
}

func (c *tally) print(title string) {
	fmt.Printf("\n%s\n  %-46s %5s %6s %7s %7s %7s %7s\n", title, "", "asked", "given", "held %", "width", "bias", "sd")
	for _, n := range c.names {
		r := c.rows[n]
		k := len(r.errors)
		w := slices.Clone(r.widths)
		slices.Sort(w)
		width, sd := math.NaN(), math.NaN()
		if k > 1 {
			width, sd = w[k/2], deviation(r.errors)
		}
		fmt.Printf("  %-46s %5d %6d %7.1f %7.2f %+7.2f %7.2f\n", n, r.asked, k, 100*float64(r.held)/float64(k), width, mean(r.errors), sd)
	}
}

// The limits of the proof: the interval holds the truth in coverageLow to
// coverageHigh of the drives. One fails where the observed rate misses it by more
// than missedBy standard errors.
const (
	coverageLow, coverageHigh = 0.93, 0.97
	missedBy                  = 2.5
)

// held95 prints the rate beside its limits with the standard error there, that of so
// many cars of so many answers each, and fails the test where one is missed; the
// upper one where both are asked for.
func (r *row) held95(t *testing.T, name string, answers float64, both bool) {
	t.Helper()
	n := float64(len(r.errors))
	rate, cars := float64(r.held)/n, n/answers
	for _, limit := range []float64{coverageLow, coverageHigh} {
		miss, sign := limit-rate, "≥"
		if limit == coverageHigh {
			if !both {
				break
			}
			miss, sign = -miss, "≤"
		}
		e := math.Sqrt(limit * (1 - limit) / cars)
		word := "holds"
		if miss > 0 {
			word = fmt.Sprintf("missed by %.1f standard errors", miss/e)
		}
		if miss > missedBy*e {
			word += ": FAILS"
			t.Errorf("%s: %.1f %%, limit %s %.0f %%", name, 100*rate, sign, 100*limit)
		}
		fmt.Printf("  %-52s %5.1f ± %3.1f %% of %4.0f, limit %s %.0f %%: %s\n", name, 100*rate, 100*e, n, sign, 100*limit, word)
	}
}

func examined(t testing.TB, c course) (Analysis, []block, bool) {
	opening, err := thermostat.Find(c.drive)
	if err != nil {
		return Analysis{}, nil, false
	}
	segs, err := segment.SplitAfter(c.drive, opening, segment.DefaultRules())
	if err != nil {
		return Analysis{}, nil, false
	}
	a, err := Analyse(c.drive, opening, segs)
	return a, newBlocks(c.drive, opening, segs), err == nil
}

// How often the intervals hold the truth on drives of both simulators, whose
// days differ. Prints the table that is stored in testdata/coverage.txt.
func TestCoverage(t *testing.T) {
	cars := setting("BONNETBOOK_PROOF_CARS", 110)
	seed := uint64(setting("BONNETBOOK_PROOF_SEED", 2026))
	for _, second := range []bool{true, false} {
		if skipped(second) {
			continue
		}
		var partsTally, pulls tally
		f := func(c proofCar) {
			for i, x := range c.courses {
				for _, known := range []struct {
					of string
					x  course
				}{{"", x}, {", probes compared", x.compared()}} {
					a, blocks, ok := examined(t, known.x)
					if !ok {
						continue
					}
					noteParts(&partsTally, known.of, a, blocks, known.x)
					if i == 0 && a.model.why == "" {
						notePulls(t, &pulls, known.of, a, c.pulls(x.ambient))
					}
				}
			}
		}
		name := "own simulator"
		if second {
			name = "second model"
			judged(t, seed, cars, 2, car.Season{}, nil, f)
		} else {
			simulated(t, seed, cars, 2, 0, 30, f)
		}
		partsTally.print(name + ": parts of the rise")
		slices.Sort(pulls.names)
		pulls.print(name + ": loads after a cruise")
		fmt.Printf("\n%s, limits\n", name)
		for _, n := range partsTally.names {
			partsTally.rows[n].held95(t, n, 2, true)
		}
		for _, n := range pulls.names {
			drives := 1.0
			if !strings.HasSuffix(n, " %") {
				drives = 7 // grades
			}
			pulls.rows[n].held95(t, n, drives, false)
		}
	}
}

// skipped says that BONNETBOOK_PROOF_SIMULATOR, "own" or "second", asks for the
// other simulator only.
func skipped(second bool) bool {
	which := os.Getenv("BONNETBOOK_PROOF_SIMULATOR")
	return second && which == "own" || !second && which == "second"
}

// notePulls compares predictions with the truth of a further day.
func notePulls(t *testing.T, c *tally, known string, a Analysis, pulls []pull) {
	for _, p := range pulls {
		got, err := a.Predict(p.condition)
		if err != nil {
			t.Fatal(err)
		}
		ambient := p.condition.Ambient.Kelvin()
		for _, name := range []string{p.kind + known, fmt.Sprintf("%s%s, %.0f %%", p.kind, known, 100*p.condition.Grade)} {
			c.note(name, true, got.Intake.Kelvin()-ambient, got.Low.Kelvin()-ambient, got.High.Kelvin()-ambient, p.rise)
		}
	}
}

// noteParts compares the parts with the truth over the blocks that they are
// stated for.
func noteParts(c *tally, known string, a Analysis, blocks []block, x course) {
	note := func(e Estimate, truth float64) {
		c.note(e.Name+known, e.Known(), e.Value, e.Interval.Low, e.Interval.High, truth)
	}
	at := int(x.opening)
	before := math.NaN()
	if x.opening > 20 && at < len(x.rise) {
		before = mean(x.rise[at-20 : at])
	}
	note(a.RiseBefore, before)
	after := settledBlocks(blocks)
	note(a.RiseAfter, over(x.rise, after))
	base := math.NaN()
	if !math.IsNaN(before) {
		base = mean(x.radiator[at-20 : at])
	}
	note(a.FromRadiator, over(x.radiator, after)-base)
	note(a.Rest, over(x.rise, after)-before-over(x.radiator, after)+base)
}
