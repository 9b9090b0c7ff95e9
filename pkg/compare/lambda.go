package compare

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

const (
	// gaugeRatio is what gauges that show an air–fuel ratio divide by.
	gaugeRatio = 14.7
	// leastRatio tells an air–fuel ratio from a λ.
	leastRatio = 5.0
)

// MeasuredLambda returns where the mixture stood at full throttle in the drives
// of a configuration that logged it: from the lowest to the highest median of
// a stretch. Stretches of a mixture on which no engine runs don't count; known is
// false where none does.
func MeasuredLambda(runs []Run, configuration string) (l engine.LambdaRange, known bool) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range runs {
		if r.Drive.Configuration != configuration || !r.Drive.Has(drive.Lambda) {
			continue
		}
		log := r.Drive.Channels[drive.Lambda].Series
		for _, s := range segment.Select(r.Segments, segment.FullThrottle) {
			m := log.Median(s.Interval)
			if m > leastRatio {
				m /= gaugeRatio
			}
			if m >= leastLogged && m <= mostLogged {
				low, high = min(low, m), max(high, m)
			}
		}
	}
	if low > high {
		return engine.LambdaRange{}, false
	}
	return engine.LambdaRange{Low: low - engine.LambdaProbe, High: high + engine.LambdaProbe, Measured: true}, true
}

// Limits of a mixture at full throttle, within those of [engine.PowerOfMixture] by
// what a change of intake may shift it.
const leastLogged, mostLogged = 0.72, 1.05
