package thermostat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/reallog"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// changedReal calls f with copies of a real log that other loggers, or a worse
// day, would have left: rarer readings, a late begin, an early end, gaps, no
// speed, a clock that is off, coarse steps.
func changedReal(d *drive.Drive, random *rand.Rand, f func(how string, missing []series.Interval, d *drive.Drive)) {
	span := d.Interval()
	copyOf := func(keep func(role drive.Role, t float64) bool, value func(role drive.Role, v float64) float64, late func(role drive.Role) float64) *drive.Drive {
		out := &drive.Drive{Name: d.Name, Start: d.Start, Channels: map[drive.Role]*drive.Channel{}}
		for role, c := range d.Channels {
			s := &series.Series{Name: c.Series.Name, Dimension: c.Series.Dimension, Start: c.Series.Start}
			for i, t := range c.Series.Time {
				if keep != nil && !keep(role, t) {
					continue
				}
				v := c.Series.Value[i]
				if value != nil {
					v = value(role, v)
				}
				if late != nil {
					t += late(role)
				}
				s.Time, s.Value = append(s.Time, t), append(s.Value, v)
			}
			if len(s.Time) > 1 {
				out.Channels[role] = &drive.Channel{Role: role, Series: s, Device: c.Device}
			}
		}
		return out
	}
	rarer := func(step, phase float64) func(drive.Role, float64) bool {
		next := map[drive.Role]float64{}
		return func(role drive.Role, t float64) bool {
			if role == drive.Speed {
				return true
			}
			if _, ok := next[role]; !ok {
				next[role] = span.From + phase
			}
			if t < next[role] {
				return false
			}
			next[role] += step * (1 + math.Floor((t-next[role])/step))
			return true
		}
	}
	for _, step := range []float64{2, 10, 30} {
		for range 3 {
			phase := step * random.Float64()
			f(fmt.Sprintf("every %g s", step), nil, copyOf(rarer(step, phase), nil, nil))
		}
		from := span.From + 0.5*random.Float64()*span.Duration()
		keep := rarer(step, 0)
		f(fmt.Sprintf("every %g s from %.0f s on", step, from), []series.Interval{{From: span.From, To: from}}, copyOf(func(r drive.Role, t float64) bool { return t >= from && keep(r, t) }, nil, nil))
		to := span.From + (0.2+0.8*random.Float64())*span.Duration()
		keep = rarer(step, 0)
		f(fmt.Sprintf("every %g s until %.0f s", step, to), []series.Interval{{From: to, To: span.To}}, copyOf(func(r drive.Role, t float64) bool { return t < to && keep(r, t) }, nil, nil))
	}
	for range 12 {
		from := span.From + 0.8*random.Float64()*span.Duration()
		f(fmt.Sprintf("from %.0f s on", from), []series.Interval{{From: span.From, To: from}}, copyOf(func(_ drive.Role, t float64) bool { return t >= from }, nil, nil))
		to := span.From + (0.1+0.9*random.Float64())*span.Duration()
		f(fmt.Sprintf("until %.0f s", to), []series.Interval{{From: to, To: span.To}}, copyOf(func(_ drive.Role, t float64) bool { return t < to }, nil, nil))
		f(fmt.Sprintf("from %.0f to %.0f s", from, to), []series.Interval{{From: span.From, To: from}, {From: to, To: span.To}}, copyOf(func(_ drive.Role, t float64) bool { return t >= from && t < to }, nil, nil))
		var gaps []series.Interval
		for range 1 + random.IntN(3) {
			a := span.From + random.Float64()*span.Duration()
			gaps = append(gaps, series.Interval{From: a, To: a + 15 + 240*random.Float64()})
		}
		in := func(t float64) bool {
			for _, g := range gaps {
				if g.Contains(t) {
					return true
				}
			}
			return false
		}
		f(fmt.Sprintf("gaps %.0f", gaps), gaps, copyOf(func(_ drive.Role, t float64) bool { return !in(t) }, nil, nil))
		f(fmt.Sprintf("coolant's gaps %.0f", gaps), gaps, copyOf(func(r drive.Role, t float64) bool { return r != drive.Coolant || !in(t) }, nil, nil))
	}
	f("no speed", nil, copyOf(func(r drive.Role, _ float64) bool { return r != drive.Speed }, nil, nil))
	f("speed 15 s late", nil, copyOf(nil, nil, func(r drive.Role) float64 {
		if r == drive.Speed {
			return 15
		}
		return 0
	}))
	f("steps of 2 K", nil, copyOf(nil, func(r drive.Role, v float64) float64 {
		if r == drive.Coolant {
			return 2*math.Round((v-273.15)/2) + 273.15
		}
		return v
	}, nil))
	f("noise of 0.5 K", nil, copyOf(nil, func(r drive.Role, v float64) float64 {
		if r == drive.Coolant {
			return v + 0.5*random.NormFloat64()
		}
		return v
	}, nil))
}

// Copies of the real logs as other loggers or a worse day would have left them:
// none may say another opening than the whole log does, where that is stated with
// confidence, nor one where the whole log has none.
func TestRealDrivesChanged(t *testing.T) {
	folder := reallog.Folder(t)
	var files []string
	for _, g := range []string{"car_a/*.csv", "car_b/*.csv", "car_b_more/*.csv"} {
		some, err := filepath.Glob(filepath.Join(folder, g))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, some...)
	}
	random := rand.New(rand.NewPCG(27, 11))
	copies, outcomes, wrong := 0, map[Outcome]int{}, map[Confidence]int{}
	for _, path := range files {
		d := readReal(t, path)
		whole, err := Find(d)
		if err != nil {
			t.Fatal(err)
		}
		changedReal(d, random, func(how string, missing []series.Interval, c *drive.Drive) {
			r, err := Find(c)
			if err != nil {
				return
			}
			copies++
			outcomes[r.Outcome]++
			complain := func(why string) {
				wrong[r.Confidence]++
				t.Errorf("%s, %s: %s; the whole log: %v %.0f [%.0f, %.0f]\n\t%v", d.Name, how, why, whole.Outcome, whole.Onset, whole.Interval95.From, whole.Interval95.To, r)
			}
			switch {
			case r.Outcome == StuckOpen && whole.Outcome != StuckOpen:
				complain("stuck open")
			case r.Outcome == AlreadyOpen && whole.Outcome == Opened && c.Interval().From < whole.Interval95.From-30:
				complain("already open")
			case r.Outcome == Opened && (whole.Outcome == NotReached || whole.Outcome == AlreadyOpen):
				complain("a false opening")
			case r.Outcome == Opened && whole.Outcome == Opened && (r.Interval95.To < whole.Interval95.From || r.Interval95.From > whole.Interval95.To):
				complain("another opening")
			}
		})
	}
	t.Logf("%d copies: %v; wrong by confidence %v", copies, outcomes, wrong)
}
