package heat

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/reallog"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// Each drive of an unchanged real car is predicted from the others: the
// interval is that of a further drive's mean, as the same two probes read it, so
// that what is wrong with these is common to both. The logs are not part of the
// project; the test runs where the variable names their folder.
func TestRealDrivesArePredictedFromTheOthers(t *testing.T) {
	folder := reallog.Folder(t)
	files, err := filepath.Glob(filepath.Join(folder, "car_b_more", "*.csv"))
	if err != nil || len(files) < 10 {
		t.Fatalf("%d logs, %v", len(files), err)
	}
	type seen struct {
		name           string
		a              Analysis
		speed, ambient float64
		rise           float64
	}
	var all []seen
	const kmh = float64(quantity.KilometrePerHour)
	for _, path := range files {
		d := reallog.Drive(t, path)
		if !d.Has(drive.Coolant, drive.Speed, drive.Intake, drive.Ambient) {
			continue
		}
		opening, err := thermostat.Find(d)
		if err != nil {
			t.Fatal(err)
		}
		segs, err := segment.SplitAfter(d, opening, segment.DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		a, err := Analyse(d, opening, segs)
		if err != nil || a.model.why != "" {
			continue
		}
		road := pick(settledBlocks(newBlocks(d, opening, segs)), func(b block) bool { return b.speed > 60*kmh && b.speed < 95*kmh })
		if len(road) < 6 {
			continue
		}
		all = append(all, seen{d.Name, a, mean(column(road, func(b block) float64 { return b.speed })), mean(column(road, func(b block) float64 { return b.ambient })), mean(rises(road))})
	}
	held, square, plain := 0, 0.0, 0.0
	var widths []float64
	for i, x := range all {
		var others []Analysis
		sum := 0.0
		for j, y := range all {
			if i != j {
				others = append(others, y.a)
				sum += y.rise / float64(len(all)-1)
			}
		}
		p, err := PredictFrom(Condition{Ambient: quantity.Kelvin(x.ambient), Speed: speedOf(x.speed)}, others...)
		if err != nil {
			t.Fatal(err)
		}
		rise := p.Intake.Kelvin() - x.ambient
		square, plain = square+(rise-x.rise)*(rise-x.rise), plain+(sum-x.rise)*(sum-x.rise)
		half := halfAsRead(p)
		widths = append(widths, 2*half)
		if low, high := rise-half, rise+half; low <= x.rise && x.rise <= high {
			held++
		} else {
			t.Logf("%s at %.0f °C, %.0f km/h: %.1f K, predicted %.1f K (%.1f to %.1f)", x.name, x.ambient-273.15, x.speed/kmh, x.rise, rise, low, high)
		}
	}
	n := float64(len(all))
	t.Logf("%d drives, %d held; off by %.2f K (rms), the mean of the others by %.2f K; intervals of %.1f K on average", len(all), held, math.Sqrt(square/n), math.Sqrt(plain/n), mean(widths))
	if n < 10 || float64(held) < 0.85*n {
		t.Errorf("%d of %d intervals hold", held, len(all))
	}
}

// halfAsRead is half the interval of a prediction without the errors of the
// probes and of their mounting, in K.
func halfAsRead(p Prediction) float64 {
	square := 0.0
	for _, c := range p.Estimate().Contributions {
		if c.Source.Kind != estimate.Probe && c.Source.Kind != estimate.Mounting {
			square += c.Effect * c.Effect
		}
	}
	return normal * math.Sqrt(square)
}
