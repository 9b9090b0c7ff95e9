package clock_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// weakDrive is a short drive on an open road whose temperatures hardly answer:
// phone and logger, whose clock is wrong by the offset.
func weakDrive(seed, k uint64, began time.Time, offset float64) (first, second []clock.Channel) {
	r := rand.New(rand.NewPCG(seed, k))
	duration := 600 + 300*r.Float64()
	v := route(r, duration, 6, false)
	speed := record(r, "speed", series.Speed, smoothed(v, 0.3+1.2*r.Float64()), 0, duration, 1, 0.01, 0.15, began)
	lead := 30 * r.Float64()
	bay := bayAir(r, v, true)
	air := record(r, "bay", series.Temperature, bay, lead, duration-30*r.Float64(), 2, 0.1, 0.4, began.Add(time.Duration((lead-offset)*1e9)))
	return []clock.Channel{{Series: speed, Kind: clock.RoadSpeed, Place: "speed"}}, []clock.Channel{{Series: air, Kind: clock.AirTemperature, Place: "bay"}}
}

// weakCampaign is some such drives of one logger, whose clock is wrong and
// drifts: their profiles, the true offset at each, how many tell alone, and how
// many of those rightly.
func weakCampaign(seed, drives uint64) (profiles []clock.Profile, truth []float64, alone, right int) {
	r := rand.New(rand.NewPCG(seed, 99))
	offset, drift := (r.Float64()-0.5)*400, (r.Float64()-0.5)*80e-6
	for k := range drives {
		began := day.Add(time.Duration(k) * 36 * time.Hour)
		own := offset + drift*began.Sub(day).Seconds()
		first, second := weakDrive(seed, k, began, own)
		res, err := clock.Estimate(first, second, clock.DefaultOptions())
		if err == nil {
			alone++
			if res.Interval.Contains(own) {
				right++
			}
		}
		profiles, truth = append(profiles, res.Profile), append(truth, own)
	}
	return profiles, truth, alone, right
}

// Drives that each can't be told are told together. Simulation truth, see
// simulated_test.go; fixed seeds, so that the counts are what they are.
func TestSeveralDrivesTellTogether(t *testing.T) {
	told := 0
	for _, seed := range []uint64{2, 24} {
		profiles, truth, alone, _ := weakCampaign(seed, 5)
		if alone > 0 {
			t.Errorf("seed %d: %d drives tell alone, and the test wants none", seed, alone)
		}
		got, err := clock.FromSeveral(profiles, clock.DefaultOptions())
		if err != nil {
			if !errors.Is(err, clock.ErrUndecided) {
				t.Error(err)
			}
			continue
		}
		for k, r := range got {
			if r.Method != clock.SeveralDrives {
				continue
			}
			told++
			if !r.Interval.Contains(truth[k]) || r.Drives < 2 || r.IsAmbiguous() {
				t.Errorf("seed %d, drive %d: %v, truth %.1f", seed, k, r, truth[k])
			}
		}
	}
	if told < 8 {
		t.Errorf("%d of 10 drives are told", told)
	}
}

// hill is a profile with one maximum of the given height against no relation.
func hill(at time.Time, offset, height float64) clock.Profile {
	p := clock.Profile{At: at, Top: height, Length: 2000}
	for x := -400.0; x <= 400; x += 4 {
		p.Offset = append(p.Offset, x)
		p.LogLikelihood = append(p.LogLikelihood, height*(math.Exp(-(x-offset)*(x-offset)/(2*15*15))-1))
	}
	return p
}

// A logger that was set anew before one drive has another offset there; the
// others hold, and that one is left as it was. One drive that tells does not
// make the others tell, nor do many that say nothing.
func TestSeveralDrivesThatDisagree(t *testing.T) {
	on := func(n int) time.Time { return day.Add(time.Duration(n) * 24 * time.Hour) }
	got, err := clock.FromSeveral([]clock.Profile{hill(on(0), 40, 7), hill(on(1), 40, 7), hill(on(2), -300, 14), hill(on(3), 40, 7)}, clock.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	for k, r := range got {
		anew := k == 2
		if (r.Method == clock.AsWritten) != anew || !anew && math.Abs(r.Offset-40) > 5 {
			t.Errorf("drive %d: %v", k, r)
		}
	}
	for name, profiles := range map[string][]clock.Profile{
		"nothing":     nil,
		"one":         {hill(day, 40, 30)},
		"one of four": {hill(on(0), 40, 30), hill(on(1), 0, 0), hill(on(2), 0, 0), hill(on(3), 0, 0)},
		"flat":        {hill(on(0), 0, 0.1), hill(on(1), 0, 0.1), hill(on(2), 0, 0.1)},
		"no instant":  {hill(time.Time{}, 40, 30), hill(time.Time{}, 40, 30)},
	} {
		if got, err := clock.FromSeveral(profiles, clock.DefaultOptions()); !errors.Is(err, clock.ErrUndecided) || len(got) != len(profiles) {
			t.Errorf("%s: %v, error %v", name, got, err)
		}
	}
}

// The drift that two drives far apart show is taken along: 50 ppm are 4.3 s a day.
func TestSeveralDrivesShowTheDrift(t *testing.T) {
	const drift = 50e-6
	var profiles []clock.Profile
	for n := range 3 {
		at := day.Add(time.Duration(n) * 5 * 24 * time.Hour)
		profiles = append(profiles, hill(at, 40+drift*at.Sub(day).Seconds(), 12))
	}
	got, err := clock.FromSeveral(profiles, clock.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	last := got[2]
	if !last.DriftEstimated || !last.DriftInterval.Contains(drift) || math.Abs(last.Offset-(40+43)) > 5 || math.Abs(got[0].Offset-40) > 5 {
		t.Errorf("first %v\nlast %v", got[0], last)
	}
}
