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
