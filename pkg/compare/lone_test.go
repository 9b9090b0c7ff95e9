package compare

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// The only drive of a side may be a far one: a change that such a drive would make
// is none, on whichever side it is alone; a far larger one is. Two drives a side
// show by themselves whether one is off.
func TestLoneDrive(t *testing.T) {
	three := []float64{17, 17.4, 16.8}
	for _, c := range []struct {
		what          string
		before, after []float64
		want          Verdict
		flaw          bool
	}{
		{"8 K", []float64{25}, three, Undecided, true},
		{"8 K the other way", []float64{9}, three, Undecided, true},
		{"alone after", three, []float64{9}, Undecided, true},
		{"27 K", []float64{44}, three, Cooler, false},
		{"27 K, alone after", three, []float64{44}, Warmer, false},
		{"no change that matters", []float64{17.2}, three, Undecided, true},
		{"too wide for either", []float64{19}, []float64{17, 13, 21}, Undecided, false},
		{"two of 8 K", []float64{25, 25.3}, three, Cooler, false},
	} {
		d := road(t, told(c.before, c.after), DefaultRules())
		if d.Verdict != c.want || estimate.Has(d.Flaws, LoneDrive) != c.flaw {
			t.Errorf("%s: %v %v", c.what, d, d.Flaws)
		}
		if d.VerdictAt(0.95) != d.Verdict {
			t.Errorf("%s: a look says %v", c.what, d.VerdictAt(0.95))
		}
		lone := min(len(c.before), len(c.after)) == 1
		if lone != strings.Contains(d.String(), "the one taken for one like the others") {
			t.Errorf("%s: what is taken for granted is not said: %v", c.what, d)
		}
	}
}

// Of cars on which nothing is changed and whose one drive before is 6 to 12 K off,
// few are called cooler or warmer: at most 6 % with 2.5 standard errors, by
// simulation with a known truth.
func TestLoneDriveThatIsFar(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 3))
	const campaigns = 150
	wrong, without := 0, 0
	for range campaigns {
		off := (6 + 6*random.Float64()) * float64(1-2*random.IntN(2))
		draw := func() float64 { return 20 + 1.2*random.NormFloat64() }
		d := road(t, told([]float64{draw() + off}, []float64{draw(), draw(), draw()}), DefaultRules())
		if d.Verdict == Cooler || d.Verdict == Warmer {
			wrong++
		}
		if !slices.ContainsFunc(d.posteriors[:], func(p *contrast.Posterior) bool { return decide(p, 0.95, d.delta) == Undecided }) {
			without++
		}
	}
	if wrong > 16 { // 6 % of 150 and 2.5 standard errors of 1.9 %
		t.Errorf("%d of %d campaigns have a false word", wrong, campaigns)
	}
	if without < campaigns/4 {
		t.Errorf("without the rule %d of %d would have one: these campaigns do not ask for it", without, campaigns)
	}
}
