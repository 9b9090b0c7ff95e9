package thermostat

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// logged is a drive with channels of 2 s readings, 0.1 K steps and noise, from
// curves in °C (speed in km/h).
func logged(seconds float64, curves map[drive.Role]func(t float64) float64) *drive.Drive {
	random := rand.New(rand.NewPCG(31, 32))
	d := &drive.Drive{Name: "made", Channels: map[drive.Role]*drive.Channel{}}
	for role, f := range curves {
		var t, v []float64
		for x := 0.0; x < seconds; x += 2 {
			y := f(x)
			switch role {
			case drive.Speed:
				y /= 3.6
			case drive.Altitude:
			default:
				y = 273.15 + math.Round((y+0.06*random.NormFloat64())*10)/10
			}
			t, v = append(t, x), append(v, y)
		}
		dim, _ := role.Dimension()
		s, err := series.New(string(role), dim, time.Time{}, t, v)
		if err != nil {
			panic(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s}
	}
	return d
}

// tank creeps to 35 °C until 600 s and then fills with coolant of 84 °C.
func tank(t float64) float64 {
	creep := 18 + 17*t/600
	if t < 600 {
		return creep
	}
	return 84 - 49*math.Exp(-(t-600)/25)
}

// coolant climbs from 18 °C at 6.5 K/min to 86 °C, drops and holds 82 °C.
func coolant(t float64) float64 {
	if t < 600 {
		return 18 + 6.6*t/60
	}
	return 82 + 2*math.Exp(-(t-600)/15) + 0.6*math.Sin(t/12)
}

func constant(v float64) func(float64) float64 { return func(float64) float64 { return v } }

func find(t *testing.T, d *drive.Drive) Result {
	t.Helper()
	r, err := Find(d)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestOutcomes(t *testing.T) {
	stuck := func(t float64) float64 { return 62 - 44*math.Exp(-t/300) }
	warm := func(t float64) float64 { return 80 + 2*math.Sin(t/40) }
	swing := func(t float64) float64 { return stuck(t) - 12*max(0, math.Sin(t/150)) }
	rewarmed := func(t float64) float64 { return min(80, 62+t/30) }
	// 70 °C at 560 s, then the engine is off until 1300 s.
	soak := func(t float64) float64 {
		if t < 560 {
			return 18 + t*52/560
		}
		return 70 + 7*(1-math.Exp(-(t-560)/60)) - (t-560)/300
	}
	parkedAt := func(t float64) float64 {
		if t < 560 || t > 1300 {
			return 40
		}
		return 0
	}
	for _, c := range []struct {
		name    string
		seconds float64
		curves  map[drive.Role]func(float64) float64
		want    Outcome
	}{
		{"top tank fills", 1500, map[drive.Role]func(float64) float64{drive.TopTank: tank}, Opened},
		{"coolant bends", 1500, map[drive.Role]func(float64) float64{drive.Coolant: coolant, drive.Speed: constant(60)}, Opened},
		{"top tank ends before", 580, map[drive.Role]func(float64) float64{drive.TopTank: tank}, NotReached},
		{"coolant ends before", 580, map[drive.Role]func(float64) float64{drive.Coolant: coolant, drive.Speed: constant(60)}, NotReached},
		{"top tank warm from the start", 900, map[drive.Role]func(float64) float64{drive.TopTank: warm}, AlreadyOpen},
		{"coolant warm from the start", 900, map[drive.Role]func(float64) float64{drive.Coolant: warm}, AlreadyOpen},
		{"top tank rises from the start", 1500, map[drive.Role]func(float64) float64{drive.TopTank: stuck, drive.Speed: constant(80)}, StuckOpen},
		{"top tank rises from the start, speed unknown", 1500, map[drive.Role]func(float64) float64{drive.TopTank: stuck}, NotDecidable},
		{"coolant follows the load", 1500, map[drive.Role]func(float64) float64{drive.Coolant: swing, drive.Speed: constant(60)}, StuckOpen},
		{"coolant bends as the record ends", 700, map[drive.Role]func(float64) float64{drive.Coolant: climbTo(82), drive.Speed: constant(60)}, NotDecidable},
		{"top tank warm, then filled", 900, map[drive.Role]func(float64) float64{drive.TopTank: rewarmed, drive.Speed: constant(60)}, NotDecidable},
		{"coolant warms while parked", 1500, map[drive.Role]func(float64) float64{drive.Coolant: soak, drive.Speed: parkedAt}, NotDecidable},
		{"coolant low at speed", 1500, map[drive.Role]func(float64) float64{drive.Coolant: stuck, drive.Speed: constant(80)}, StuckOpen},
		{"coolant low, speed unknown", 1500, map[drive.Role]func(float64) float64{drive.Coolant: stuck}, NotDecidable},
		{"coolant warm, for 200 s", 200, map[drive.Role]func(float64) float64{drive.Coolant: warm}, NotDecidable},
		{"coolant hotter than any thermostat, for 200 s", 200, map[drive.Role]func(float64) float64{drive.Coolant: constant(96)}, AlreadyOpen},
		{"top tank leaks", 1200, map[drive.Role]func(float64) float64{drive.TopTank: func(t float64) float64 { return 18 + t/30 }, drive.Speed: constant(60)}, NotDecidable},
		{"top tank warms as the engine", 1200, map[drive.Role]func(float64) float64{drive.TopTank: func(t float64) float64 { return 15 + t/14 }, drive.Speed: constant(60)}, StuckOpen},
		{"coolant falls in town", 1300, map[drive.Role]func(float64) float64{drive.Coolant: func(t float64) float64 { return 15 + 42*math.Sin(t/650) }, drive.Speed: constant(30)}, NotDecidable},
		{"coolant warms slowly in town", 1300, map[drive.Role]func(float64) float64{drive.Coolant: func(t float64) float64 { return 15 + t/32 }, drive.Speed: constant(30)}, NotDecidable},
		{"intake that only drifts", 1500, map[drive.Role]func(float64) float64{drive.Intake: func(t float64) float64 { return 20 + t/200 }}, NotDecidable},
	} {
		r := find(t, logged(c.seconds, c.curves))
		if r.Outcome != c.want || r.Reason == "" {
			t.Errorf("%s: %v\nwant %v", c.name, r, c.want)
		}
		if r.Outcome != Opened && (!math.IsNaN(r.Onset) || !r.Interval95.IsEmpty()) {
			t.Errorf("%s: %v has an onset", c.name, r.Outcome)
		}
	}
}

func TestOnsetOfMadeDrives(t *testing.T) {
	r := find(t, logged(1500, map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant, drive.Speed: constant(60)}))
	if r.Outcome != Opened || math.Abs(r.Onset-600) > 4 || !r.Interval95.Contains(600) {
		t.Errorf("%v, truth 600 s", r)
	}
	if r.Confidence != High || len(r.Evidence) != 2 {
		t.Errorf("two channels agree, confidence %s, %d pieces of evidence", r.Confidence, len(r.Evidence))
	}
	// What the tank shows at onset is not the thermostat's temperature.
	if got := r.AtOnset[drive.TopTank].Value.Celsius(); math.Abs(got-35) > 2 || r.AtOnset[drive.TopTank].Meaning == "" {
		t.Errorf("top tank at onset %.1f °C, made 35 °C", got)
	}
	if got := quantity.Kelvin(r.Regulation.Level.Value).Celsius(); math.Abs(got-82) > 0.5 {
		t.Errorf("regulation at %.1f °C, made 82 °C", got)
	}
	for _, e := range r.Evidence {
		if e.Fit == nil || e.Fit.Len() < 8 {
			t.Errorf("%s: no fitted curve for a chart", e.Role)
		}
	}
	if open, known := r.IsOpen(700); !open || !known {
		t.Error("not open at 700 s")
	}
}

// A record with a hole from 400 to 700 s hides the opening: whatever channel
// there is, no onset may be given.
func TestNoAnswerAcrossGap(t *testing.T) {
	for role, f := range map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant} {
		d := logged(1500, map[drive.Role]func(float64) float64{role: f, drive.Speed: constant(60)})
		s := d.Channels[role].Series
		for i, x := range s.Time {
			if x > 400 && x < 700 {
				s.Value[i] = math.NaN()
			}
		}
		r := find(t, d)
		if r.Outcome != NotDecidable || !strings.Contains(r.Reason, "gap") {
			t.Errorf("%s: %v", role, r)
		}
	}
}

// Channels that contradict each other are reported, not averaged.
func TestDisagreementIsReported(t *testing.T) {
	late := func(t float64) float64 { return tank(t - 330) }
	r := find(t, logged(1800, map[drive.Role]func(float64) float64{drive.TopTank: late, drive.Coolant: coolant, drive.Speed: constant(60)}))
	if math.Abs(r.Onset-930) > 5 || r.Confidence != Low || len(r.Warnings) == 0 {
		t.Errorf("top tank opens at 930 s, coolant at 600 s: %v", r)
	}
}

func TestErrors(t *testing.T) {
	_, err := Find(logged(100, map[drive.Role]func(float64) float64{drive.Speed: constant(3)}))
	if !errors.Is(err, ErrNoEvidence) {
		t.Errorf("speed alone: %v", err)
	}
	if _, err := FindWith(logged(100, map[drive.Role]func(float64) float64{drive.TopTank: tank}), Rules{}); err == nil {
		t.Error("empty rules accepted")
	}
	for _, n := range []float64{4, 10, 40} { // nearly nothing must not crash
		find(t, logged(n, map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant, drive.Intake: tank}))
	}
	d := logged(1500, map[drive.Role]func(float64) float64{drive.TopTank: tank})
	for i := range d.Channels[drive.TopTank].Series.Value {
		d.Channels[drive.TopTank].Series.Value[i] = math.NaN()
	}
	if _, err := Find(d); !errors.Is(err, ErrNoEvidence) {
		t.Errorf("open circuit all the way: %v", err)
	}
}

func BenchmarkFindHour(b *testing.B) {
	d := logged(3600, map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant, drive.Speed: constant(60), drive.Intake: func(t float64) float64 { return 20 + t/300 }})
	for b.Loop() {
		if _, err := Find(d); err != nil {
			b.Fatal(err)
		}
	}
}

// An ordinary drive: half an hour, four channels and speed every 2 s.
func BenchmarkFindHalfHour(b *testing.B) {
	d := logged(1800, map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant, drive.Speed: constant(60),
		drive.Intake: func(t float64) float64 { return 20 + t/300 }, drive.Ambient: constant(18)})
	for b.Loop() {
		if _, err := Find(d); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFindTenMillionSamples(b *testing.B) {
	n := 10_000_000
	t, v := make([]float64, n), make([]float64, n)
	for i := range t {
		t[i] = float64(i) / 5000
		v[i] = 273.15 + tank(t[i]) + 0.1*math.Sin(float64(i))
	}
	s, _ := series.New("top tank", series.Temperature, time.Time{}, t, v)
	d := &drive.Drive{Name: "fast logger", Channels: map[drive.Role]*drive.Channel{drive.TopTank: {Role: drive.TopTank, Series: s}}}
	for b.Loop() {
		r, err := Find(d)
		if err != nil || math.Abs(r.Onset-600) > 3 {
			b.Fatal(r, err)
		}
	}
}

// The answer as an estimate: value and interval are those of the result, the
// source names the drive, and what was not found says why.
func TestOpeningIsAnEstimate(t *testing.T) {
	channels := map[drive.Role]func(float64) float64{drive.TopTank: tank, drive.Coolant: coolant, drive.Speed: constant(60)}
	r, err := Find(logged(1800, channels))
	if err != nil {
		t.Fatal(err)
	}
	e := r.Opening()
	if e.Value != r.Onset || e.Interval.Low != r.Interval95.From || e.Interval.High != r.Interval95.To || e.Basis != estimate.Likelihood || len(e.Contributions) != 1 {
		t.Errorf("%+v of %v", e, r)
	}
	for _, x := range r.Evidence {
		if !x.Onset.Known() || x.Onset.Contributions[0].Source == e.Contributions[0].Source {
			t.Errorf("%v: %+v", x.Role, x.Onset)
		}
	}
	if l := r.Regulation.Level; !l.Known() || !(l.Interval.Width() > 0) || l.Unit.Symbol() != "°C" {
		t.Errorf("held level %+v", l)
	}
	short, err := Find(logged(300, channels))
	if err != nil {
		t.Fatal(err)
	}
	if e := short.Opening(); e.Known() || e.Missing == "" {
		t.Errorf("%+v of %v", e, short)
	}
}

func TestRulesAreRefusedByName(t *testing.T) {
	rules := DefaultRules()
	rules.RiseTime = 0
	_, err := FindWith(logged(300, map[drive.Role]func(float64) float64{drive.Coolant: coolant}), rules)
	if !errors.Is(err, quantity.ErrOutOfRange) || !strings.Contains(err.Error(), "RiseTime") {
		t.Errorf("error %v", err)
	}
}
