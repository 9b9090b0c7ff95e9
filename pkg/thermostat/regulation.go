package thermostat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/bins"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/cycle"
)

// regulation describes the level held from the given time on.
func (tr *trace) regulation(from float64) Regulation {
	lo := tr.index(from)
	if len(tr.t)-lo < 20 {
		return Regulation{CyclingPeriod: math.NaN()}
	}
	r := Regulation{Role: tr.role, Interval: series.Interval{From: tr.t[lo], To: tr.t[len(tr.t)-1]}}
	r.Level = tr.heldLevel(lo)
	period, half := cycle.Find(tr.t[lo:], tr.smooth(8)[lo:], max(1.5*tr.quantum, 1.2))
	r.CyclingPeriod, r.CyclingAmplitude = period, quantity.KelvinDifference(half)
	return r
}

// heldLevel is the median from bin lo on. Half-minute means stand in for
// independent readings.
func (tr *trace) heldLevel(lo int) estimate.Estimate {
	const name = "regulated temperature"
	shown := quantity.KindTemperature.Shown()
	median := tr.quantile(lo, len(tr.t), 0.5)
	var means []float64
	for x := tr.t[lo]; x < tr.t[len(tr.t)-1]; x += 30 {
		if m := tr.mean(x, x+30); !math.IsNaN(m) {
			means = append(means, m)
		}
	}
	u := bins.Spread(means) / math.Sqrt(float64(len(means)))
	if math.IsNaN(u) {
		return estimate.Between(name, median, shown, estimate.NoInterval(), estimate.NoBasis, math.NaN())
	}
	half := 1.96 * u
	e := estimate.Between(name, median, shown, estimate.Interval{Low: median - half, High: median + half, Level: 0.95}, estimate.WithinDrive, math.Inf(1))
	e.Count = len(means)
	return e
}
