package changepoint_test

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
)

// The interval of a sum: an instant that is known leaves the quantiles of the
// lead, those of an exponential distribution in closed form, to within its parts.
func TestCauseIsASum(t *testing.T) {
	p := changepoint.Posterior{Time: []float64{99.999, 100, 100.001}, Weight: []float64{0, 1, 0}}
	at, span := p.Cause(changepoint.ExponentialLead(2), 0, 0.95)
	if math.Abs(at-(100-2*math.Ln2)) > 0.3 {
		t.Errorf("median %.2f s, closed form %.2f s", at, 100-2*math.Ln2)
	}
	if math.Abs(span.High-100) > 0.2 || math.Abs(span.Low-(100+2*math.Log(0.05))) > 1 {
		t.Errorf("interval %v", span)
	}
	// Spread added on both sides adds no more than itself.
	_, wider := p.Cause(changepoint.ExponentialLead(2), 3, 0.95)
	if grown := wider.Width() - span.Width(); grown < 2 || grown > 6 {
		t.Errorf("3 s to either side widen the interval by %.1f s", grown)
	}
}
