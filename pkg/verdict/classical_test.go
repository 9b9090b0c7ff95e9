package verdict_test

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// The methods themselves are checked in package contrast; here, that they are
// asked about the right drives.
func TestClassical(t *testing.T) {
	a := answerOf(t, saved(t, simulate.Demo(simulate.DemoSeed)), verdict.Question{})
	all := a.Classical()
	if len(all) != 4 {
		t.Fatalf("%v", all)
	}
	d := difference(t, a, compare.RoadMiddle)
	mean := d.After.Rise.Value - d.Before.Rise.Value
	for i, degrees := range []float64{0, 2, 2, 0} {
		c := all[i]
		if degrees > 0 && c.DegreesOfFreedom != degrees {
			t.Errorf("%s: %g degrees of freedom", c.Method, c.DegreesOfFreedom)
		}
		if !(c.Low < c.Change && c.Change < c.High) || math.Abs(float64(c.Change)-mean) > 3 {
			t.Errorf("%+v beside %.1f K", c, mean)
		}
	}
	one := *a
	one.Rises = nil
	if got := one.Classical(); len(got) != 0 {
		t.Errorf("no drive: %v", got)
	}
}
