package instrument

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// Phone is a phone in the car. Its clock is UTC and right within a second.
type Phone struct {
	ClockS float64 // off by this, s
	// DelayS and SmoothS are how its speed lags behind the car's.
	DelayS, SmoothS float64
	SpeedMPS        float64 // noise of speed, sd
	PlaceM, HeightM float64 // wander of position and height, sd
	HeightBiasM     float64
	Dropouts        int // gaps of 8 to 35 s on average a drive
	StartS, StopS   float64
}

// DrawPhone draws a phone. Ranges: speed noise 0.05–0.15 m/s (Doppler, 0.2 m/s
// at 95 %, second-hand), place 2–5 m, height 3–8 m (vertical 1.5 times
// horizontal or worse), delay 0–1.2 s and smoothing 0.3–2 s (judgement).
func DrawPhone(rng *rand.Rand) Phone {
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	return Phone{
		ClockS: 0.3 * rng.NormFloat64(), DelayS: between(0, 1.2), SmoothS: between(0.3, 2), SpeedMPS: between(0.05, 0.15),
		PlaceM: between(2, 5), HeightM: between(3, 8), HeightBiasM: 6 * rng.NormFloat64(), Dropouts: rng.IntN(5),
	}
}

// Fix is one reading of a phone.
type Fix struct {
	At                        time.Time // UTC, the phone's clock
	TrueS                     float64
	LatDeg, LonDeg            float64
	HeightM, SpeedMPS, AccurM float64
}

// Track is what the phone recorded on a drive.
func (p *Phone) Track(t *car.Trace, start time.Time, rng *rand.Rand) []Fix {
	end := p.StopS
	if end <= 0 || end > float64(t.Len()-1) {
		end = float64(t.Len() - 1)
	}
	gone := spells{}
	for range p.Dropouts {
		from := p.StartS + rng.Float64()*(end-p.StartS)
		gone.from, gone.to = append(gone.from, from), append(gone.to, from+8+27*rng.Float64())
	}
	smooth := make([]float64, t.Len())
	v := t.SpeedMPS[0]
	for i, x := range t.SpeedMPS {
		v += (x - v) * (1 - math.Exp(-1/p.SmoothS))
		smooth[i] = v
	}
	var east, north, up float64
	const keep = 0.98 // of the wander from one second to the next
	lose := math.Sqrt(1 - keep*keep)
	var track []Fix
	for s := p.StartS; s <= end; s++ {
		east = keep*east + lose*p.PlaceM*rng.NormFloat64()
		north = keep*north + lose*p.PlaceM*rng.NormFloat64()
		up = keep*up + lose*p.HeightM*rng.NormFloat64()
		if gone.holds(s) {
			continue
		}
		const mPerDeg = 111194.9
		lat := at(t.LatDeg, s) + (north+0.6*rng.NormFloat64())/mPerDeg
		lon := at(t.LonDeg, s) + (east+0.6*rng.NormFloat64())/(mPerDeg*math.Cos(lat*math.Pi/180))
		speed := at(smooth, max(s-p.DelayS, 0)) + p.SpeedMPS*rng.NormFloat64()
		track = append(track, Fix{
			At: start.Add(time.Duration((s + p.ClockS) * 1e9)).UTC(), TrueS: s, LatDeg: lat, LonDeg: lon,
			HeightM: at(t.HeightM, s) + p.HeightBiasM + up, SpeedMPS: math.Abs(speed), AccurM: math.Round(3 + 2*rng.ExpFloat64()),
		})
	}
	return track
}
