package thermostat

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A small tank behind a leak creeps up by 5 K/min and fills within 8 s of the
// first flow: read every 10 s, one reading lies on the creep and the next at the
// top. The interval holds the truth between the two; hardly any tank is full 3 s
// after it.
func TestQuickTankSlowLogger(t *testing.T) {
	for _, truth := range []float64{601, 603, 605} {
		curve := func(x float64) float64 {
			if x < truth {
				return 20 + max(0, x-200)/12
			}
			return 80 - (60-(truth-200)/12)*math.Exp(-(x-truth)/3) + 2*math.Sin((x-truth)/9)
		}
		d := everyTenth(logged(1500, map[drive.Role]func(float64) float64{drive.TopTank: curve, drive.Speed: constant(80)}))
		r := find(t, d)
		if r.Outcome != Opened || !r.Interval95.Contains(truth) {
			t.Errorf("truth %.0f s: %v", truth, r)
		}
	}
}

// everyTenth keeps the readings of every tenth second.
func everyTenth(d *drive.Drive) *drive.Drive {
	for role, c := range d.Channels {
		var x, v []float64
		for i := 0; i < c.Series.Len(); i += 5 {
			x, v = append(x, c.Series.Time[i]), append(v, c.Series.Value[i])
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: &series.Series{Name: c.Series.Name, Dimension: c.Series.Dimension, Start: c.Series.Start, Time: x, Value: v}}
	}
	return d
}

// Coolant that came near a bend's height before and fell again may have been let
// out then; one that only paused, or turned far below, was not.
func TestPeakBefore(t *testing.T) {
	for _, c := range []struct {
		name       string
		peak, fall float64 // °C at 600 s, K until 900 s
		want       float64 // s, 0 for none
	}{
		{"opened as the car slowed", 82, 3, 590},
		{"a shelf", 82, 0, 0},
		{"a stop far below", 70, 3, 0},
	} {
		tr := trace{quantum: 0.1}
		for x := 0.0; x < 1300; x += 2 {
			y := c.peak
			switch {
			case x < 600:
				y = 18 + (c.peak-18)*x/600
			case x < 900:
				y -= c.fall * (x - 600) / 300
			default:
				y += (84 - c.peak + c.fall) * (x - 900) / 400
				y -= c.fall
			}
			tr.t, tr.y = append(tr.t, x), append(tr.y, celsius(y))
		}
		at := len(tr.t) - 1
		got := tr.peakBefore(bend{at: at, height: tr.y[at]}, [2]int{0, len(tr.t)})
		if c.want == 0 && got >= 0 || c.want > 0 && (got < 0 || math.Abs(tr.t[got]-c.want) > 10) {
			t.Errorf("%s: bin %d, want %.0f s", c.name, got, c.want)
		}
	}
}

// Readings of a slow logger lie further apart than a gap of others: what they were
// at the opening is known all the same, so that drives of one car can be compared.
func TestSlowLoggerReadsAtTheOnset(t *testing.T) {
	d := logged(1800, map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant, drive.Speed: constant(60)})
	for _, c := range d.Channels {
		s := &series.Series{Name: c.Series.Name, Dimension: c.Series.Dimension, Start: c.Series.Start}
		for i := 0; i < c.Series.Len(); i += 15 {
			s.Time, s.Value = append(s.Time, c.Series.Time[i]), append(s.Value, c.Series.Value[i])
		}
		c.Series = s
	}
	r := find(t, d)
	if x, ok := r.coolantAtOnset(); !ok || math.Abs(x-celsius(83)) > 4 {
		t.Errorf("%v reads %.1f °C at the onset", r, x-273.15)
	}
}
