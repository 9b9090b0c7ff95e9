//go:build proof

package thermostat

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
)

// seedOf is that of the stored table; the rules were settled on others.
func seedOf(t *testing.T) uint64 {
	seed := uint64(20261130)
	if s := os.Getenv("BONNETBOOK_PROOF_SEED"); s != "" {
		if _, err := fmt.Sscan(s, &seed); err != nil {
			t.Fatal(err)
		}
	}
	return seed
}

// proofCars is how many cars of each variant are driven three times.
func proofCars(t *testing.T) int {
	cars := 40
	if n := os.Getenv("BONNETBOOK_PROOF_CARS"); n != "" {
		if _, err := fmt.Sscan(n, &cars); err != nil {
			t.Fatal(err)
		}
	}
	return cars
}

// A table counts, for one simulator, what became of drives by channels, step,
// kind and variant.
type table struct {
	cells map[[4]string]*tally
	list  string
	worst worst
}

func (b *table) at(set, step, kind, variant string) *tally {
	key := [4]string{set, step, kind, variant}
	if b.cells[key] == nil {
		b.cells[key] = &tally{}
	}
	return b.cells[key]
}

func (b *table) add(t *testing.T, variant string, step float64, p proofDrive) {
	t.Helper()
	for _, set := range proofSets {
		if b.list != "" && !strings.Contains(b.list, set.name) {
			continue
		}
		d := only(p.drive, set.roles)
		if !d.Has(set.roles[0]) || set.few && step != proofSteps[0] {
			continue
		}
		r, err := Find(d)
		if errors.Is(err, ErrNoEvidence) {
			continue // hardly any readings
		}
		if err != nil {
			t.Fatal(err)
		}
		b.at(set.name, fmt.Sprint(step), p.kind, variant).add(p, r)
		b.at(set.name, fmt.Sprint(step), p.kind, "").add(p, r)
		if step == proofSteps[0] && len(set.roles) == 2 && !set.few {
			b.worst.add(set.name, p, r)
		}
		note(t, set.name, step, p, r)
	}
}

// note logs what a reader asks for: BONNETBOOK_PROOF_LIST names a kind, a set
// and a step, as in "stuck open/coolant/2".
func note(t *testing.T, set string, step float64, p proofDrive, r Result) {
	t.Helper()
	list := os.Getenv("BONNETBOOK_PROOF_LIST")
	if list == "" || list != fmt.Sprintf("%s/%s/%g", p.kind, set, step) {
		return
	}
	if wrong := r.Outcome == Opened && !r.Interval95.Contains(p.truth) || p.truth == p.truth && r.Outcome != Opened; wrong || p.kind == kindStuck {
		t.Logf("truth %.0f s: %v", p.truth, r)
	}
}

func (b *table) print(name string, variants []string) {
	for _, set := range proofSets {
		for _, step := range proofSteps {
			s := fmt.Sprint(step)
			if b.at(set.name, s, kindOpens, "").n == 0 && b.at(set.name, s, kindStuck, "").n == 0 {
				continue
			}
			fmt.Printf("\n%s, %s, readings every %s s\n  %-18s %s\n", name, set.name, s, "cold starts", openHead)
			for _, v := range append(variants, "") {
				label := v
				if v == "" {
					label = "all variants"
				}
				fmt.Printf("  %-18s %s\n", label, b.at(set.name, s, kindOpens, v).openRow())
			}
			for _, kind := range openKinds[1:] {
				fmt.Printf("  %-18s %s\n", kind, b.at(set.name, s, kind, "").openRow())
			}
			fmt.Printf("  %-18s %s\n", "not opening", closedHead)
			sum := &tally{outcomes: map[Outcome]int{}}
			for _, kind := range closedKinds {
				c := b.at(set.name, s, kind, "")
				fmt.Printf("  %-18s %s\n", kind, c.closedRow())
				sum.n += c.n
				for o, n := range c.outcomes {
					sum.outcomes[o] += n
				}
			}
			fmt.Printf("  %-18s %s\n", "all of these", sum.closedRow())
		}
	}
}

// Coverage and false openings on the judge and on our own simulator, by
// physical variant, channels and logger's step. Prints the tables that are
// stored in testdata/recovery.txt, and what holds of the limits; pictures of the
// ten worst answers of each simulator go to the folder that
// BONNETBOOK_PROOF_WORST names. BONNETBOOK_PROOF_SET narrows the channels.
func TestRecovery(t *testing.T) {
	seed, cars := seedOf(t), proofCars(t)
	which := os.Getenv("BONNETBOOK_PROOF_SIMULATOR")
	if which != "own" {
		b := &table{cells: map[[4]string]*tally{}, list: os.Getenv("BONNETBOOK_PROOF_SET")}
		for _, v := range judgeVariants() {
			for i, kind := range append(append([]string{}, openKinds...), closedKinds...) {
				if k := os.Getenv("BONNETBOOK_PROOF_KIND"); k != "" && k != kind {
					continue
				}
				n := cars
				if kind != kindOpens {
					n = max(1, cars/8)
				}
				if kind == kindStuck || kind == kindHop {
					n = max(1, cars/3)
				}
				judged(t, judgeVariant(kind, v), kind, seed+uint64(100*i)+hashOf(v), n, func(step float64, p proofDrive) { b.add(t, v, step, p) })
			}
		}
		b.print("second model", judgeVariants())
		b.limits(t, "second model", judgeVariants())
		b.worst.draw(t, "second model")
	}
	if which != "second" {
		b := &table{cells: map[[4]string]*tally{}, list: os.Getenv("BONNETBOOK_PROOF_SET")}
		var names []string
		for _, v := range simulatedVariants {
			names = append(names, v.name)
			for i, kind := range append(append([]string{}, openKinds...), closedKinds...) {
				if k := os.Getenv("BONNETBOOK_PROOF_KIND"); k != "" && k != kind {
					continue
				}
				n := cars
				if kind != kindOpens {
					n = max(1, cars/6)
				}
				if kind == kindStuck {
					n = max(1, cars/3)
				}
				simulated(v, kind, seed+uint64(100*i)+hashOf(v.name), n, func(step float64, p proofDrive) { b.add(t, v.name, step, p) })
			}
		}
		b.print("own simulator", names)
		b.limits(t, "own simulator", names)
		b.worst.draw(t, "own simulator")
	}
}

func hashOf(s string) uint64 {
	h := uint64(0)
	for _, c := range s {
		h = 31*h + uint64(c)
	}
	return h << 16
}
