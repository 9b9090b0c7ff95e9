package verdict

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A prediction holds at the level of the change that it is made of, as several
// configurations ask for a higher one than 95 %.
func TestPredictionKeepsTheLevel(t *testing.T) {
	a, err := Open("../../testdata/demo/campaign.toml", Question{Rejected: func(Pull) bool { return true }})
	if err != nil {
		t.Fatal(err)
	}
	var z, high []float64
	for _, level := range []float64{0.99, 0.999, 0.9999} {
		v, err := a.atFullThrottle(estimate.Interval{Low: -5, High: -5, Level: level})
		if err != nil {
			t.Fatal(err)
		}
		z, high = append(z, distuv.UnitNormal.Quantile((1+level)/2)), append(high, v.High)
	}
	if got, want := (high[2]-high[1])/(high[1]-high[0]), (z[2]-z[1])/(z[1]-z[0]); !(math.Abs(got-want) < 1e-9) {
		t.Errorf("from 99.9 to 99.99 %% is %.4f times the way from 99 to 99.9 %%, want %.4f", got, want)
	}
}
