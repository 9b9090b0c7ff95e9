package segment

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// schedule reads a driving schedule of testdata.
func schedule(t testing.TB, file string, unit quantity.Speed) *series.Series {
	t.Helper()
	data, err := os.ReadFile("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var at, v []float64
	for i, w := range strings.Fields(string(data)) {
		x, err := strconv.ParseFloat(w, 64)
		if err != nil {
			t.Fatal(err)
		}
		at, v = append(at, float64(i)), append(v, (quantity.Speed(x)*unit).MetresPerSecond())
	}
	s, err := series.New(file, series.Speed, time.Time{}, at, v)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPublishedCycles(t *testing.T) {
	const mph, kmh = quantity.MilePerHour, quantity.KilometrePerHour
	// Published: UDDS 1369 s, 7.45 mi, 19.6 mph, 56.7 mph (40 CFR 86 App. I and
	// EPA's summary); HWFET 765 s, 10.26 mi, 48.3 mph, 59.9 mph; US06 596 s,
	// 8.01 mi, 48.4 mph, 80.3 mph; WLTC 3b 1800 s, 23.266 km, 46.5 km/h,
	// 131.3 km/h (UN GTR 15). Idle shares and stops are counts over the
	// schedules' own numbers: UDDS 18.9 %, 17 stops at 0 mph (it creeps at
	// 0.1 to 0.6 mph at eight instants); WLTC 13.5 % at up to 1 km/h, 8 stops. Summaries of US06 speak of four stops; its numbers come
	// to rest five times, the last at its end.
	for _, c := range []struct {
		file                 string
		unit                 quantity.Speed
		duration             float64
		distance, unitLength quantity.Length
		distanceDigit        float64
		mean, top            float64
		idle                 float64
		stops                int
		rest                 quantity.Speed
	}{
		{"udds.txt", mph, 1369, 7.45, quantity.Mile, 0.005, 19.6, 56.7, 0.189, 17, 1e-9},
		{"hwfet.txt", mph, 765, 10.26, quantity.Mile, 0.005, 48.3, 59.9, math.NaN(), 1, kmh},
		{"us06.txt", mph, 596, 8.01, quantity.Mile, 0.005, 48.4, 80.3, math.NaN(), 5, kmh},
		{"wltc_3b.txt", kmh, 1800, 23.266, quantity.Kilometre, 0.0005, 46.5, 131.3, 0.135, 8, kmh},
	} {
		t.Run(c.file, func(t *testing.T) {
			s, err := CycleStatisticsBelow(schedule(t, c.file, c.unit), c.rest)
			if err != nil {
				t.Fatal(err)
			}
			t.Log(s)
			near := func(what string, got, want, tol float64) {
				if !math.IsNaN(want) && math.Abs(got-want) > tol {
					t.Errorf("%s %.5g, published %.5g", what, got, want)
				}
			}
			near("duration", s.Duration, c.duration, 0)
			near("distance", float64(s.Distance/c.unitLength), float64(c.distance), c.distanceDigit)
			near("mean", float64(s.MeanSpeed/c.unit), c.mean, 0.05)
			near("highest", float64(s.MaximumSpeed/c.unit), c.top, 0.05)
			near("idle share", s.IdleShare, c.idle, 0.0005)
			if s.Stops != c.stops {
				t.Errorf("%d stops, want %d", s.Stops, c.stops)
			}
		})
	}
	// Below 1 km/h the UDDS's eight creeping instants count as rest: 259 of its
	// 1370 speeds are 0, 267 below 1 km/h, and it stops 18 times (counted over the schedule's numbers).
	u, err := CycleStatistics(schedule(t, "udds.txt", mph))
	if err != nil || math.Abs(u.IdleShare-267.0/1370) > 1e-9 || u.Stops != 18 || u.Rest != kmh || !strings.Contains(u.String(), "below 1.0 km/h") {
		t.Errorf("UDDS below 1 km/h: %v, %v", u, err)
	}
	s, err := CycleStatisticsBelow(schedule(t, "wltc_3b.txt", kmh), 1e-9)
	if err != nil || math.Abs(s.IdleShare-0.130) > 0.0005 {
		t.Errorf("WLTC at rest at 0 km/h: %.4f, %v, want 0.130", s.IdleShare, err)
	}
}

// Two laws of others for the steady power of a car. The U.S. EPA's for a
// passenger car of 1.4788 t (MOVES, coefficients as public tables have them):
// (0.156461·v + 0.002002·v² + 0.000493·v³)/1.4788 kW/t, within 16 % from 5 to 30 m/s.
// The European table of road loads where none was measured (as a slide of the
// harmonised test's authors shows it): at 80 km/h 6.3 kW at 1130 kg, 6.8 at 1250,
// 8.1 at 1700, which leaves out the undriven wheels. Heywood (1988), equation
// (2.28b), from memory: (2.73·C_R·M + 0.0126·C_D·A·S²)·S·10⁻³ kW with S in km/h,
// for a rolling coefficient of 0.0135 and 0.5 m² of drag area a tonne.
func TestSpecificPowerAgainstOtherLaws(t *testing.T) {
	for mass, kilowatts := range map[float64]float64{1.130: 6.3, 1.250: 6.8, 1.700: 8.1} {
		if got, table := SpecificPower(80/3.6, 0, 0), kilowatts/mass; got < table || got > 1.35*table {
			t.Errorf("%v t: %v, table %v", mass, got, table)
		}
	}
	for _, v := range []float64{5, 10, 15, 20, 25, 30} {
		got := SpecificPower(v, 0, 0)
		epa := (0.156461*v + 0.002002*v*v + 0.000493*v*v*v) / 1.4788
		if math.Abs(got/epa-1) > 0.16 {
			t.Errorf("%v m/s: %v, EPA's car %v", v, got, epa)
		}
		s := v * 3.6
		heywood := (2.73*0.0135*1000 + 0.0126*0.5*s*s) * s * 1e-3
		if math.Abs(got/heywood-1) > 0.03 {
			t.Errorf("%v m/s: %v, Heywood's %v", v, got, heywood)
		}
	}
}

// The coefficients are from memory; the values were worked out by hand.
func TestSpecificPower(t *testing.T) {
	for _, c := range []struct{ v, a, grade, want float64 }{
		{13.4112, 0, 0, 2.4987}, {22.352, 0, 0, 6.3230}, {10, 1, 0, 12.622}, {30, 0, 0, 12.114}, {20, 0.5, 0.02, 19.980},
	} {
		if got := SpecificPower(c.v, c.a, c.grade); math.Abs(got-c.want) > 0.0005 {
			t.Errorf("SpecificPower(%v, %v, %v) = %.4f, want %.4f", c.v, c.a, c.grade, got, c.want)
		}
	}
}

// One start to V and a cruise: Σ v·a⁺·Δt is V²/2 whatever the ramp.
func TestRelativePositiveAccelerationClosedForm(t *testing.T) {
	var at, v []float64
	for i := range 121 {
		at, v = append(at, float64(i)), append(v, math.Min(float64(i), 20))
	}
	s, err := CycleStatistics(&series.Series{Dimension: series.Speed, Time: at, Value: v})
	if err != nil {
		t.Fatal(err)
	}
	want := 20.0 * 20 / 2 / (200 + 100*20)
	if got := s.RelativePositiveAcceleration.MetresPerSecondSquared(); math.Abs(got-want) > 1e-12 {
		t.Errorf("RPA %v, want %v", got, want)
	}
}

// The first hill of the UDDS, 66 to 91 s, is driven at 43 km/h without a stop:
// no stop-and-go, though stops lie near it.
func TestQuickStretchIsNoStopAndGo(t *testing.T) {
	s := schedule(t, "udds.txt", quantity.MilePerHour)
	d := &drive.Drive{Name: "schedule", Channels: map[drive.Role]*drive.Channel{drive.Speed: {Role: drive.Speed, Series: s}}}
	all, err := SplitAfter(d, open, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	share, total := 0.0, 0.0
	for _, p := range all {
		t.Logf("%v, %d stops", p, p.Stops)
		if p.Kind == StopAndGo {
			share += p.Interval.Duration()
			if p.MeanSpeed > 30*quantity.KilometrePerHour || p.MeanSpeed < 1*quantity.KilometrePerHour {
				t.Errorf("%v", p)
			}
		}
		total += p.Interval.Duration()
	}
	for x := 66.0; x < 91; x++ {
		if k := kindAt(all, x); k == StopAndGo || k == Stopped {
			t.Fatalf("%v at %v s", k, x)
		}
	}
	if share == 0 || share > 0.6*total {
		t.Errorf("%.0f of %.0f s are stop-and-go", share, total)
	}
}
