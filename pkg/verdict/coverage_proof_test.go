//go:build proof

package verdict_test

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/proving"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// condition is a way in which campaigns come about. Nothing is changed on the
// cars, so the truth is 0; a change is planted by adding it to the rises after.
type condition struct {
	name     string
	plan     judge.Plan
	refitted bool
	limit    float64 // least coverage; 0 reports only
	blocked  float64 // largest share of blocked campaigns; 1 asks for nothing
}

func conditions() []condition {
	fair := func(scatter float64) judge.Plan {
		return judge.Plan{ScatterK: scatter, Order: judge.Balanced}
	}
	with := func(f judge.Flaw, o judge.Order) judge.Plan {
		return judge.Plan{ScatterK: 1.2, Order: o, Flaws: []judge.Flaw{f}}
	}
	correlated, heavy := fair(1.2), fair(1.2)
	correlated.DayCorrelation, heavy.Heavy = 0.8, true
	return []condition{
		{"fair, scatter 0.5 K", fair(0.5), false, 0.93, 0.05},
		{"fair, scatter 1.2 K", fair(1.2), false, 0.93, 0.05},
		{"fair, scatter 2 K", fair(2), false, 0.93, 0.05},
		{"fair, scatter 4 K", fair(4), false, 0.93, 0.05},
		{"fair, scatter 6 K", fair(6), false, 0, 0.05},
		{"long tails", heavy, false, 0.93, 0.05},
		{"days alike, balanced", correlated, false, 0.93, 0.05},
		{"4.5 K warmer after", with(judge.WarmerBy4, judge.Balanced), false, 0.93, 0.25},
		{"8 K warmer after", with(judge.WarmerBy8, judge.Balanced), false, 0.93, 0.25},
		{"8 K warmer after, in blocks", with(judge.WarmerBy8, judge.InBlocks), false, 0.93, 1},
		{"refitted, and told", with(judge.Refit, judge.Balanced), true, 0.93, 1},
		{"drift, balanced", with(judge.Drift, judge.Balanced), false, 0.93, 0.05},
		{"drift, in blocks", with(judge.Drift, judge.InBlocks), false, 0.93, 1},
		{"after starts warm", with(judge.WarmStart, judge.Balanced), false, 0.93, 1},
		{"scatter 1:3", with(judge.UnequalScatter, judge.Balanced), false, 0.93, 0.05},
		{"one drive 6 to 12 K off", with(judge.Outlier, judge.Balanced), false, 0.93, 0.05},
		{"another road after", with(judge.OtherRoute, judge.Balanced), false, 0.93, 1},
	}
}

// pool is one car's drives, each run once through the pipeline.
type pool struct {
	rises         []compare.DriveRise
	before, after []string // drives in their order in time
}

// TestCoverage counts, over cars of the judge that nothing was changed on, how
// often the interval of the change holds it, how often a change is seen where
// there is none, and how often a planted one is found.
func TestCoverage(t *testing.T) {
	cars, draws := number("BONNETBOOK_PROOF_CARS", 40), number("BONNETBOOK_PROOF_DRAWS", 7)
	only := os.Getenv("BONNETBOOK_PROOF_SET")
	start := time.Now()
	fmt.Println("| condition | drives | campaigns | blocked | interval holds 0 | false word | false word, any stratum | −4 K found | −3 K called within | width, K |")
	fmt.Println("|---|---|---|---|---|---|---|---|---|---|")
	for _, c := range conditions() {
		if !strings.HasPrefix(c.name, only) {
			continue
		}
		pools := poolsOf(t, c, cars)
		for _, n := range [][2]int{{2, 2}, {3, 3}, {4, 4}, {8, 8}, {2, 6}, {1, 3}} {
			s := c.count(t, pools, n, draws)
			fmt.Println(s.row(c, n))
			s.check(t, c, n)
		}
	}
	fmt.Printf("\n%d cars a condition, %d campaigns drawn from each; %.0f s\n", cars, draws, time.Since(start).Seconds())
}

func number(name string, usual int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return usual
}

func poolsOf(t *testing.T, c condition, cars int) []pool {
	var all []pool
	for _, seed := range proving.Seeds(20261127, cars) {
		p := c.plan
		p.Seed, p.Before, p.After = seed, 8, 8
		p.Flaws = append([]judge.Flaw{judge.SameConfiguration}, p.Flaws...)
		campaign, err := judge.Make(p)
		if err != nil {
			t.Fatal(err)
		}
		var drives []*drive.Drive
		var one pool
		for _, d := range campaign.Drives {
			x, err := proving.Drive(campaign, d)
			if err != nil {
				t.Fatal(err)
			}
			x.Configuration = "before"
			if d.After {
				x.Configuration = "after"
				one.after = append(one.after, x.Name)
			} else {
				one.before = append(one.before, x.Name)
			}
			drives = append(drives, x)
		}
		runs, _ := verdict.Cut(drives, segment.DefaultRules())
		var cut []compare.Run
		for _, r := range runs {
			cut = append(cut, compare.Run{Drive: r.Drive, Segments: r.Segments})
		}
		if one.rises, err = compare.Rises(cut, compare.DefaultRules()); err != nil {
			t.Fatal(err)
		}
		all = append(all, one)
	}
	return all
}

// score is what was counted in one cell.
type score struct {
	all, blocked, missing         int // missing: the primary was not driven on both sides
	held, told, toldAnywhere      int // without a change
	found, within                 int // with −4 K, and with −3 K planted
	decided4, decided3, decidedNo int
	width                         float64
}

func (c condition) count(t *testing.T, pools []pool, n [2]int, draws int) score {
	var s score
	rules := compare.DefaultRules()
	rules.Primary, rules.Refitted = compare.RoadMiddle, c.refitted
	primary := rules
	primary.Strata = nil
	for _, x := range rules.Strata {
		if x.ID == rules.Primary {
			primary.Strata = append(primary.Strata, x)
		}
	}
	for _, p := range pools {
		different := 1 + min(8-n[0], 8-n[1])
		if c.plan.Order == judge.InBlocks {
			different = 1
		}
		for k := range min(draws, different) {
			before, after := p.window(n, c.plan.Order == judge.InBlocks, k)
			s.all++
			d, anywhere := judgeDraw(t, p, before, after, 0, rules)
			switch {
			case d.Before.Drives == 0 || d.After.Drives == 0:
				s.missing++
				continue
			case d.Verdict == compare.NotComparable:
				s.blocked++
				continue
			}
			s.decidedNo++
			s.width += d.Change.Interval.Width()
			if d.Change.Interval.Contains(0) {
				s.held++
			}
			if d.Verdict == compare.Cooler || d.Verdict == compare.Warmer {
				s.told++
			}
			if anywhere {
				s.toldAnywhere++
			}
			if d, _ := judgeDraw(t, p, before, after, -4, primary); d.Verdict != compare.NotComparable {
				s.decided4++
				if d.Verdict == compare.Cooler {
					s.found++
				}
			}
			if d, _ := judgeDraw(t, p, before, after, -3, primary); d.Verdict != compare.NotComparable {
				s.decided3++
				if d.Verdict == compare.WithinDelta {
					s.within++
				}
			}
		}
	}
	return s
}

// window picks drives that were driven one after the other: from number
// `from` of each side the next ones; in blocks those next to the change.
func (p pool) window(n [2]int, blocks bool, from int) (before, after map[string]bool) {
	sides := [2][]string{p.before, p.after}
	if blocks {
		sides[0] = sides[0][len(sides[0])-n[0]:]
	} else {
		sides[0], sides[1] = sides[0][from:], sides[1][from:]
	}
	var picked [2]map[string]bool
	for i := range picked {
		picked[i] = map[string]bool{}
		for _, name := range sides[i][:n[i]] {
			picked[i][name] = true
		}
	}
	return picked[0], picked[1]
}

func judgeDraw(t *testing.T, p pool, before, after map[string]bool, planted float64, rules compare.Rules) (primary compare.Difference, anywhere bool) {
	var rises []compare.DriveRise
	for _, r := range p.rises {
		if after[r.Drive] {
			r.Mean += quantity.KelvinDifference(planted)
			rises = append(rises, r)
		} else if before[r.Drive] {
			rises = append(rises, r)
		}
	}
	all, err := compare.Configurations(rises, "before", "after", rules)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range all {
		anywhere = anywhere || d.Verdict == compare.Cooler || d.Verdict == compare.Warmer
		if d.Primary {
			primary = d
		}
	}
	return primary, anywhere
}

func share(k, n int) float64 { return float64(k) / math.Max(1, float64(n)) }

func (s score) row(c condition, n [2]int) string {
	pc := func(k, n int) string { return fmt.Sprintf("%.1f %%", 100*share(k, n)) }
	return fmt.Sprintf("| %s | %d+%d | %d | %s | %s | %s | %s | %s | %s | %.1f |", c.name, n[0], n[1], s.all-s.missing, pc(s.blocked, s.all-s.missing),
		pc(s.held, s.decidedNo), pc(s.told, s.decidedNo), pc(s.toldAnywhere, s.decidedNo), pc(s.found, s.decided4), pc(s.within, s.decided3), s.width/math.Max(1, float64(s.decidedNo)))
}

// check fails where a stated limit is missed by more than 2.5 standard errors;
// campaigns of one car resemble one another, so cars are what is counted.
func (s score) check(t *testing.T, c condition, n [2]int) {
	cars := float64(number("BONNETBOOK_PROOF_CARS", 40))
	miss := func(what string, k, of int, limit float64, atLeast bool) {
		p := share(k, of)
		e := 2.5 * math.Sqrt(limit*(1-limit)/math.Min(float64(of), cars*4))
		if of > 0 && (atLeast && p < limit-e || !atLeast && p > limit+e) {
			t.Errorf("%s, %d+%d: %s in %.1f %%, the limit is %.0f %%", c.name, n[0], n[1], what, 100*p, 100*limit)
		}
	}
	if c.limit > 0 {
		miss("the interval holds", s.held, s.decidedNo, c.limit, true)
		miss("a change is seen where there is none", s.told, s.decidedNo, 0.06, false)
		miss("a change is seen in any stratum where there is none", s.toldAnywhere, s.decidedNo, 0.06, false)
		miss("a change of 3 K is called none that matters", s.within, s.decided3, 0.05, false)
	}
	miss("blocked", s.blocked, s.all-s.missing, c.blocked, false)
}
