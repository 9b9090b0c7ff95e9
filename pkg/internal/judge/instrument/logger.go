package instrument

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// Clock is a device's own idea of the time over a whole campaign.
type Clock struct {
	Epoch      time.Time // when OffsetS holds
	OffsetS    float64   // device minus true UTC, without the zone
	SPerDay    float64   // drift
	Zone       time.Duration
	ZoneWrongH float64 // whole hours that the zone is off what is used locally
}

// Show is the wall clock that the device shows at a true instant, as a time in
// UTC that stands for no zone.
func (c Clock) Show(at time.Time) time.Time {
	days := at.Sub(c.Epoch).Hours() / 24
	s := c.OffsetS + c.SPerDay*days + c.ZoneWrongH*3600
	return at.UTC().Add(c.Zone + time.Duration(s*1e9))
}

// ErrorS is device minus true local time at an instant, s.
func (c Clock) ErrorS(at time.Time) float64 {
	return c.Show(at).Sub(at.UTC().Add(c.Zone)).Seconds()
}

// DrawClock draws a clock: off by up to a quarter of an hour, drifting by up
// to 2 s a day (quartz: 20 ppm is 1.7 s; reference sheet).
func DrawClock(epoch time.Time, zone time.Duration, rng *rand.Rand) Clock {
	return Clock{Epoch: epoch, OffsetS: 900 * (2*rng.Float64() - 1), SPerDay: 2 * (2*rng.Float64() - 1), Zone: zone}
}

// Logger is one box with its probes.
type Logger struct {
	Name   string
	StepS  float64
	Probes []Probe
	// Labels are what its owner wrote beside each channel.
	Labels      []string
	ResolutionK float64
	Clock       Clock
	// CaseKPerK is the cold junction's error per kelvin that the case is above
	// 25 °C, common to all channels; CaseRiseK what the cabin adds in a drive.
	CaseKPerK, CaseRiseK float64
	// OpenAlways marks channels without a probe; OpenChance the chance that a
	// channel opens for a while in a drive.
	OpenAlways []bool
	OpenChance []float64
	// StartS and StopS are when it is switched on and off, s of the record;
	// a StopS of 0 is the record's end.
	StartS, StopS float64
}

// Channel is what one channel read; NaN is an open circuit.
type Channel struct {
	Label  string
	Place  Place
	Values []float64
}

// Recording is one device's part of one drive.
type Recording struct {
	Device   string
	Stamps   []time.Time // the device's wall clock
	TrueS    []float64   // true seconds of the record, for scoring
	Channels []Channel
}

// Read lets the logger record a drive that began at the true instant start.
func (l *Logger) Read(t *car.Trace, start time.Time, rng *rand.Rand) Recording {
	rec := Recording{Device: l.Name}
	end := l.StopS
	if end <= 0 || end > float64(t.Len()-1) {
		end = float64(t.Len() - 1)
	}
	// It samples on whole seconds of its own clock.
	zero := l.Clock.Show(start)
	stamp := l.Clock.Show(start.Add(time.Duration(l.StartS * 1e9))).Truncate(time.Second).Add(time.Second)
	for ; ; stamp = stamp.Add(time.Duration(l.StepS * 1e9)) {
		s := stamp.Sub(zero).Seconds() / (1 + l.Clock.SPerDay/86400)
		if s > end {
			break
		}
		rec.TrueS = append(rec.TrueS, s)
		rec.Stamps = append(rec.Stamps, stamp)
	}
	wander := 0.0
	junction := make([]float64, len(rec.TrueS))
	for i, s := range rec.TrueS {
		wander += -wander*l.StepS/600 + 0.12*math.Sqrt(2*l.StepS/600)*rng.NormFloat64()
		caseC := t.AmbientC[0] + l.CaseRiseK*(1-math.Exp(-s/1200))
		junction[i] = l.CaseKPerK*(caseC-25) + wander
	}
	for c := range l.Probes {
		p := &l.Probes[c]
		ch := Channel{Label: l.Labels[c], Place: p.Place, Values: make([]float64, len(rec.TrueS))}
		follow := p.Follow(t)
		open := l.opens(c, end, rng)
		for i, s := range rec.TrueS {
			x := at(follow, s) + junction[i] + p.NoiseK*rng.NormFloat64()
			if l.ResolutionK > 0 {
				x = math.Round(x/l.ResolutionK) * l.ResolutionK
			}
			if open.holds(s) {
				x = math.NaN()
			}
			ch.Values[i] = x
		}
		rec.Channels = append(rec.Channels, ch)
	}
	return rec
}

type spells struct {
	always   bool
	from, to []float64
}

func (s spells) holds(at float64) bool {
	for i := range s.from {
		if at >= s.from[i] && at < s.to[i] {
			return true
		}
	}
	return s.always
}

// opens draws when a channel has no contact: a few spells of seconds to
// minutes.
func (l *Logger) opens(c int, endS float64, rng *rand.Rand) spells {
	var s spells
	s.always = c < len(l.OpenAlways) && l.OpenAlways[c]
	if c < len(l.OpenChance) && rng.Float64() < l.OpenChance[c] {
		for range 1 + rng.IntN(4) {
			from := rng.Float64() * endS
			s.from = append(s.from, from)
			s.to = append(s.to, from+4+rng.ExpFloat64()*60)
		}
	}
	return s
}

// at interpolates a column of seconds.
func at(col []float64, s float64) float64 {
	i := min(max(int(s), 0), len(col)-1)
	j := min(i+1, len(col)-1)
	f := s - float64(i)
	return col[i] + f*(col[j]-col[i])
}

// Cut returns the part of a recording between two true seconds of the record,
// as a logger switched on late or off early would have it.
func (r Recording) Cut(fromS, toS float64) Recording {
	a, b := 0, 0
	for _, s := range r.TrueS {
		if s < fromS {
			a++
		}
		if s < toS {
			b++
		}
	}
	b = max(a, b)
	cut := Recording{Device: r.Device, Stamps: r.Stamps[a:b], TrueS: r.TrueS[a:b]}
	for _, c := range r.Channels {
		cut.Channels = append(cut.Channels, Channel{c.Label, c.Place, c.Values[a:b]})
	}
	return cut
}
