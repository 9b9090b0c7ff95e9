package instrument

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// A probe of first order shows 63.2 % of a step after its time constant and
// 90 % after 2.303 of them (a sensor maker's page).
func TestLagIsFirstOrder(t *testing.T) {
	const n, at = 200, 100
	tr := &car.Trace{}
	for i := range n {
		temp := 20.0
		if i >= at {
			temp = 90
		}
		tr.UpperC, tr.FrontC, tr.RearC = append(tr.UpperC, temp), append(tr.FrontC, 20), append(tr.RearC, 20)
		tr.SpeedMPS, tr.AirMPS, tr.Running, tr.AirKgS = append(tr.SpeedMPS, 0), append(tr.AirMPS, 0), append(tr.Running, true), append(tr.AirKgS, 0)
	}
	p := Probe{Place: UpperTank, LagS: 20}
	got := p.Follow(tr)
	for _, c := range []struct {
		after int
		share float64
	}{{20, 0.632}, {46, 0.9}} {
		// The step is seen within the second in which it falls.
		if share := (got[at-1+c.after] - 20) / 70; math.Abs(share-c.share) > 0.002 {
			t.Errorf("after %d s: %.4f, want %.3f", c.after, share, c.share)
		}
	}
}

// A bare bead of 1 mm with walls 20 K hotter reads 0.9, 0.5 and 0.3 K high in
// air of 1, 5 and 20 m/s (energy balance with Whitaker's sphere, ε 0.85).
func TestRadiationFallsWithSpeed(t *testing.T) {
	p := Probe{Radiation: 1}
	for speed, want := range map[float64]float64{1: 0.9, 5: 0.5, 20: 0.3} {
		if got := 20 * p.radiationShare(speed); math.Abs(got-want) > 0.05 {
			t.Errorf("%g m/s: %.2f K, want %.1f K", speed, got, want)
		}
	}
}

// Class 2 wire is within 2.5 K (IEC 60584-1, below 333 °C).
func TestProbesAreClass2(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 500 {
		if p := DrawProbe(Intake, Rig{}, rng); math.Abs(p.OffsetK) > 2.5 {
			t.Fatalf("%.2f K", p.OffsetK)
		}
	}
}

func TestClockShowsItsError(t *testing.T) {
	epoch := time.Date(2026, 5, 2, 0, 0, 0, 0, time.UTC)
	c := Clock{Epoch: epoch, OffsetS: 90, SPerDay: 2, Zone: time.Hour, ZoneWrongH: -1}
	at := epoch.AddDate(0, 0, 3).Add(12 * time.Hour)
	if got, want := c.ErrorS(at), 90+2*3.5-3600; math.Abs(got-want) > 1e-6 {
		t.Errorf("error %.6f s, want %.6f s", got, want)
	}
	if got, want := c.Show(at), at.Add(97*time.Second); !got.Equal(want) {
		t.Errorf("shows %v, want %v", got, want)
	}
}

// A cut keeps what lies between two true seconds.
func TestCut(t *testing.T) {
	r := Recording{TrueS: []float64{1, 3, 5, 7}, Stamps: make([]time.Time, 4), Channels: []Channel{{Values: []float64{10, 30, 50, 70}}}}
	got := r.Cut(3, 7)
	if len(got.TrueS) != 2 || got.Channels[0].Values[0] != 30 || got.Channels[0].Values[1] != 50 {
		t.Errorf("%+v", got)
	}
}
