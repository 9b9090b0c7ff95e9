package segment

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// scripted is a drive whose kinds are known: rest, open road up to 80 km/h,
// steady 80, traffic with four stops, a long stop, steady 50.
func scripted(rate float64, noise float64, drop func(t float64) bool) *drive.Drive {
	random := rand.New(rand.NewPCG(21, 22))
	knots := [][2]float64{{0, 0}, {60, 0}, {90, 60}, {110, 35}, {130, 80}, {430, 80}, {450, 0},
		{465, 0}, {480, 25}, {500, 0}, {520, 0}, {535, 30}, {555, 0}, {570, 0}, {590, 28}, {610, 0}, {630, 0},
		{650, 60}, {665, 60}, {690, 0}, {810, 0}, {830, 50}, {1200, 50}, {1210, 0}, {1230, 0}}
	at := func(t float64) float64 {
		for i := 1; i < len(knots); i++ {
			if a, b := knots[i-1], knots[i]; t <= b[0] {
				return (a[1] + (t-a[0])/(b[0]-a[0])*(b[1]-a[1])) / 3.6
			}
		}
		return 0
	}
	var t, v []float64
	for x := 0.0; x < 1230; x += 1 / rate {
		if drop != nil && drop(x) {
			continue
		}
		t, v = append(t, x), append(v, math.Abs(at(x)+noise*random.NormFloat64()))
	}
	s := &series.Series{Name: "speed", Dimension: series.Speed, Time: t, Value: v}
	return &drive.Drive{Name: "scripted", Start: time.Time{}, Channels: map[drive.Role]*drive.Channel{drive.Speed: {Role: drive.Speed, Series: s}}}
}

var open = thermostat.Result{Outcome: thermostat.Opened, Onset: 150, Interval95: series.Interval{From: 145, To: 155}}

func kindAt(segs []Segment, t float64) Kind {
	for _, s := range segs {
		if s.Interval.Contains(t) {
			return s.Kind
		}
	}
	return -1
}

// The same road must give the same kinds at 1 Hz and 10 Hz, with a receiver's
// noise at rest (common practice: up to 2 km/h), and with dropped fixes.
func TestKindsAreRobust(t *testing.T) {
	want := map[float64]Kind{30: Stopped, 105: OpenRoad, 200: Steady, 400: Steady, 520: StopAndGo, 580: StopAndGo,
		750: Stopped, 900: Steady, 1150: Steady}
	drops := map[string]func(float64) bool{
		"all fixes":               nil,
		"every third fix missing": func(t float64) bool { return math.Mod(math.Round(t*10), 30) == 0 },
		"8 s missing":             func(t float64) bool { return t > 300 && t < 308 },
	}
	for name, drop := range drops {
		for _, rate := range []float64{1, 10} {
			for _, noise := range []float64{0, 0.15, 0.3} {
				segs, err := SplitAfter(scripted(rate, noise, drop), open, DefaultRules())
				if err != nil {
					t.Fatal(err)
				}
				for at, k := range want {
					if got := kindAt(segs, at); got != k {
						t.Errorf("%s, %v Hz, noise %v m/s: %v at %v s, want %v", name, rate, noise, got, at, k)
					}
				}
				for i := 1; i < len(segs); i++ {
					if segs[i].Interval.From != segs[i-1].Interval.To {
						t.Errorf("hole between %v and %v", segs[i-1].Interval, segs[i].Interval)
					}
				}
			}
		}
	}
}

func TestTunnelIsUnknownNotStopped(t *testing.T) {
	segs, err := SplitAfter(scripted(1, 0.1, func(x float64) bool { return x > 250 && x < 310 }), open, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	if k := kindAt(segs, 280); k != Unknown {
		t.Errorf("%v in the tunnel, want %v", k, Unknown)
	}
	if k := kindAt(segs, 350); k != Steady {
		t.Errorf("%v after the tunnel, want %v", k, Steady)
	}
}

func TestMarks(t *testing.T) {
	segs, err := SplitAfter(scripted(1, 0.1, nil), open, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range segs {
		mid := (s.Interval.From + s.Interval.To) / 2
		if s.WarmUp != (mid < 150) {
			t.Errorf("%v: warm-up %v, opening is at 150 s", s, s.WarmUp)
		}
		// The long stop is 690–810 s by the script; its soak lasts 180 s more.
		if s.HeatSoak != (mid > 685 && mid < 1000) {
			t.Errorf("%v: heat soak %v", s, s.HeatSoak)
		}
		if s.Settled && (s.WarmUp || s.HeatSoak || s.Interval.From < 155+180-1) || s.Settled == (s.NotSettled != "") {
			t.Errorf("%v settled, %q", s, s.NotSettled)
		}
	}
	unknown, err := SplitAfter(scripted(1, 0.1, nil), thermostat.Result{}, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	if len(Settled(unknown)) != 0 {
		t.Error("stretches are settled although it is not known whether the thermostat opened")
	}
}

func TestFullThrottle(t *testing.T) {
	d := scripted(1, 0, nil)
	d.Channels[drive.Throttle] = opening(func(i int) float64 { return 0.2 + 0.8*float64(min(1, max(0, i-109))*min(1, max(0, 128-i))) })
	segs, err := SplitAfter(d, open, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	full := Select(segs, FullThrottle)
	if len(full) != 1 || math.Abs(full[0].Interval.From-110) > 2 || math.Abs(full[0].Interval.To-128) > 2 {
		t.Errorf("full throttle %v, the throttle was open from 110 to 128 s", full)
	}
}

// The sensor of a pedal that reads 0.8 at its stop does not say that a pull was
// none: what the wheels got does. One that was never pressed so far does say it.
func TestSensorThatEndsShort(t *testing.T) {
	hard := func(s float64) bool { return s >= 100 && s < 110 || s >= 300 && s < 310 }
	find := func(top float64) []Segment {
		d := pulling(t, 0.4, hard)
		if top > 0 {
			d.Channels[drive.Throttle] = opening(func(i int) float64 {
				if hard(float64(i)) {
					return top
				}
				return 0.15
			})
		}
		return fullThrottle(t, d)
	}
	without := find(0)
	if len(without) != 2 {
		t.Fatalf("by the wheels' power alone: %v", without)
	}
	if short := find(0.8); len(short) != len(without) || short[0].Likely == 1 || short[0].Interval != without[0].Interval {
		t.Errorf("up to 0.8: %v, without a throttle %v", short, without)
	}
	if shut := find(0.5); len(shut) != 0 {
		t.Errorf("up to 0.5: %v", shut)
	}
}

// opening is a throttle's opening at each second of the script.
func opening(at func(i int) float64) *drive.Channel {
	var times, v []float64
	for i := range 1230 {
		times, v = append(times, float64(i)), append(v, at(i))
	}
	return &drive.Channel{Role: drive.Throttle, Series: &series.Series{Time: times, Value: v}}
}

// A warm restart: how long the car stood, and what bay and intake still hold of
// it, is not in the record. A pull of 5 s is a pull, however it began.
func TestWarmRestart(t *testing.T) {
	d := scripted(1, 0, nil)
	var at, v []float64
	for i := range 1230 {
		full := 0.2
		if i >= 1000 && i < 1005 || i >= 115 && i < 125 {
			full = 1
		}
		at, v = append(at, float64(i)), append(v, full)
	}
	d.Channels[drive.Throttle] = &drive.Channel{Role: drive.Throttle, Series: &series.Series{Time: at, Value: v}}
	rules := DefaultRules()
	rules.SoakStop = 90 // the script begins with a stop of 60 s
	segs, err := SplitAfter(d, thermostat.Result{Outcome: thermostat.AlreadyOpen, Onset: math.NaN()}, rules)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range segs {
		if s.Settled && s.Interval.From < rules.SettleAfter {
			t.Errorf("%v is settled from the start", s)
		}
	}
	full := Select(segs, FullThrottle)
	if len(full) != 2 || full[0].Settled || !strings.Contains(full[0].NotSettled, "warm start") || !full[1].Settled {
		t.Errorf("full throttle: %v, %q, %v", full, full[0].NotSettled, full[1].NotSettled)
	}
}

func TestMatch(t *testing.T) {
	a, err := SplitAfter(scripted(1, 0.1, nil), open, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	b, err := SplitAfter(scripted(10, 0.2, nil), open, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	pairs := Match(a, b, DefaultTolerances())
	if len(pairs) < 6 {
		t.Errorf("%d pairs of %d and %d stretches of the same road", len(pairs), len(a), len(b))
	}
	for _, p := range pairs {
		if math.Abs(p.A.Interval.From-p.B.Interval.From) > 30 {
			t.Errorf("paired %v with %v", p.A, p.B)
		}
	}
	narrow := DefaultTolerances()
	narrow.Speed = 1e-9 * quantity.MetrePerSecond
	if got := Match(a, b, narrow); len(got) > 1 {
		t.Errorf("%d pairs within no tolerance of speed", len(got))
	}
}

func TestErrorsSayWhatToDo(t *testing.T) {
	if _, err := Split(&drive.Drive{Name: "x"}); err == nil || !strings.Contains(err.Error(), "speed") {
		t.Errorf("no speed channel: %v", err)
	}
	d := scripted(1, 0, nil)
	for i := range d.Channels[drive.Speed].Series.Value {
		d.Channels[drive.Speed].Series.Value[i] *= 10
	}
	if _, err := SplitAfter(d, open, DefaultRules()); err == nil || !strings.Contains(err.Error(), "unit") {
		t.Errorf("km/h taken for m/s: %v", err)
	}
	if _, err := SplitAfter(scripted(1, 0, nil), open, Rules{}); err == nil {
		t.Error("empty rules accepted")
	}
}

func BenchmarkSplitTenMillion(b *testing.B) {
	n := 10_000_000
	t, v := make([]float64, n), make([]float64, n)
	for i := range t {
		t[i], v[i] = float64(i)/10, 15+15*math.Sin(float64(i)/900)
	}
	d := &drive.Drive{Name: "long", Channels: map[drive.Role]*drive.Channel{drive.Speed: {Series: &series.Series{Dimension: series.Speed, Time: t, Value: v}}}}
	for b.Loop() {
		if _, err := SplitAfter(d, open, DefaultRules()); err != nil {
			b.Fatal(err)
		}
	}
}

// Without a throttle channel a pull passes for full throttle where it is about what
// the engine's rated power lets expect, and for brisk where that is less likely;
// nothing tells where the car could do more.
func TestBriskIsNotFullThrottle(t *testing.T) {
	likely := func(rated float64) float64 { // W/kg; the wheels show 33 W/kg
		d := &drive.Drive{Name: "pull", Channels: map[drive.Role]*drive.Channel{}, RatedPower: quantity.Power(rated * 1000), Mass: 1000}
		var at, v, height []float64
		for i := range 300 {
			at, height = append(at, float64(i)), append(height, 100)
			v = append(v, 12+1.15*math.Min(10, math.Max(0, math.Mod(float64(i), 100)-50)))
		}
		d.Channels[drive.Speed] = &drive.Channel{Role: drive.Speed, Series: &series.Series{Name: "speed", Time: at, Value: v}}
		d.Channels[drive.Altitude] = &drive.Channel{Role: drive.Altitude, Series: &series.Series{Name: "height", Time: at, Value: height}}
		pieces, err := SplitAfter(d, open, DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		most := 0.0
		for _, p := range pieces {
			most = math.Max(most, p.Likely)
			if full := p.Kind == FullThrottle; (full || p.Kind == Brisk) && full != (p.Likely >= aloneLikely) {
				t.Errorf("rated %g W/kg: %v with %.2f", rated, p, p.Likely)
			}
		}
		return most
	}
	if p, q, r, unknown := likely(40), likely(52), likely(90), likely(0); !(p > 0.8 && q > 0.2 && q < p && r == 0 && unknown < p) {
		t.Errorf("full throttle with %.3f for 40 W/kg, %.3f for 52, %.3f for 90, %.3f where nobody knows", p, q, r, unknown)
	}
}
