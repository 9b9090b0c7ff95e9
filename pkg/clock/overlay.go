package clock

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Overlay is what a picture needs to show an alignment: both signals on the
// first recording's clock, before and after. Values are standardised (mean 0,
// standard deviation 1 over what is shown), because level and scale of two
// sensors say nothing about time; missing values are NaN.
type Overlay struct {
	// Time counts seconds from the first series' start; all slices have its
	// length.
	Time   []float64
	First  []float64
	Before []float64 // the second as its own clock says
	After  []float64 // the second after the correction
	// Overlap says whether the clocks as written leave any common time.
	Overlap bool
}

// NewOverlay resamples both series to steps of the slower one. No gap longer
// than maxGap seconds is bridged. It fails where a series has fewer than two
// samples.
func NewOverlay(first, second *series.Series, r Result, maxGap float64) (Overlay, error) {
	step := math.Max(first.Step(), second.Step())
	if math.IsNaN(step) {
		return Overlay{}, fmt.Errorf("clock.NewOverlay: %q or %q has fewer than two samples", first.Name, second.Name)
	}
	o := Overlay{Time: series.Grid(first.Interval(), step)}
	gap := math.Max(maxGap, 2*step)
	before := second.Since(first.Start)
	o.Overlap = !before.Interval().Intersect(first.Interval()).IsEmpty()
	o.First = standardised(first.Resample(o.Time, gap).Value)
	o.Before = standardised(before.Resample(o.Time, gap).Value)
	o.After = standardised(r.Apply(second, first.Start).Resample(o.Time, gap).Value)
	return o, nil
}

func standardised(x []float64) []float64 {
	n, mean, sum := 0.0, 0.0, 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			n++
			d := v - mean
			mean += d / n
			sum += d * (v - mean)
		}
	}
	deviation := math.Sqrt(sum / n)
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = (v - mean) / deviation
	}
	return out
}
