package warm_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// drive of half an hour: at rest for 100 s, then at 20 m/s; the oil climbs by
// 0.1 K/s from 20 °C to 110 °C.
func cold(t *testing.T) *drive.Drive {
	t.Helper()
	var times, speed, oil []float64
	for s := 0.0; s <= 1800; s += 2 {
		v := 20.0
		if s < 100 {
			v = 0
		}
		times, speed, oil = append(times, s), append(speed, v), append(oil, quantity.Celsius(20+math.Min(0.1*s, 90)).Kelvin())
	}
	d := &drive.Drive{Name: "test", Channels: map[drive.Role]*drive.Channel{}}
	for role, v := range map[drive.Role][]float64{drive.Speed: speed, drive.Oil: oil} {
		dim, _ := role.Dimension()
		s, err := series.New(string(role), dim, time.Time{}, times, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s}
	}
	return d
}

var untold = thermostat.Result{Onset: math.NaN(), Reason: "no probe"}

// The instants follow from the drive's making.
func TestRules(t *testing.T) {
	opened := thermostat.Result{Outcome: thermostat.Opened, Onset: 500, Interval95: series.Interval{From: 480, To: 520}}
	holds := thermostat.Result{Onset: math.NaN(), Held: thermostat.Held{From: 700, Level: quantity.Celsius(84)}}
	for _, c := range []struct {
		what    string
		warming drive.Warming
		opening thermostat.Result
		outcome warm.Outcome
		basis   warm.Basis
		at      float64
	}{
		{"nothing is said", drive.Warming{}, untold, warm.NotKnown, warm.ByThermostat, math.NaN()},
		{"time after moving off", drive.Warming{Rule: drive.WarmRule{After: 600}}, untold, warm.Became, warm.ByRule, 700},
		{"distance", drive.Warming{Rule: drive.WarmRule{Distance: 8000}}, untold, warm.Became, warm.ByRule, 500},
		{"oil", drive.Warming{Rule: drive.WarmRule{Role: drive.Oil, Above: quantity.Celsius(80)}}, untold, warm.Became, warm.ByRule, 600},
		{"the later of two", drive.Warming{Rule: drive.WarmRule{Role: drive.Oil, Above: quantity.Celsius(80), After: 600}}, untold, warm.Became, warm.ByRule, 700},
		{"oil below all it reads", drive.Warming{Rule: drive.WarmRule{Role: drive.Oil, Above: quantity.Celsius(10)}}, untold, warm.AtStart, warm.ByRule, math.NaN()},
		{"oil never", drive.Warming{Rule: drive.WarmRule{Role: drive.Oil, Above: quantity.Celsius(120)}}, untold, warm.Never, warm.ByRule, math.NaN()},
		{"longer than the record", drive.Warming{Rule: drive.WarmRule{After: 3000}}, untold, warm.Never, warm.ByRule, math.NaN()},
		{"farther than the record", drive.Warming{Rule: drive.WarmRule{Distance: 90e3}}, untold, warm.Never, warm.ByRule, math.NaN()},
		{"a probe that is not there", drive.Warming{Rule: drive.WarmRule{Role: drive.CylinderHead, Above: quantity.Celsius(80)}}, untold, warm.NotKnown, warm.ByRule, math.NaN()},
		{"the thermostat before the rule", drive.Warming{Rule: drive.WarmRule{After: 600}}, opened, warm.Became, warm.ByThermostat, 500},
		{"a closed thermostat before the rule", drive.Warming{Rule: drive.WarmRule{After: 600}}, thermostat.Result{Outcome: thermostat.NotReached}, warm.Never, warm.ByThermostat, math.NaN()},
		{"the moment before the thermostat", drive.Warming{HasMoment: true, Moment: 300, MomentUncertainty: 30}, opened, warm.Became, warm.ByHand, 300},
		{"starts warm", drive.Warming{StartsWarm: true, Rule: drive.WarmRule{After: 600}}, untold, warm.AtStart, warm.ByHand, math.NaN()},
		{"starts warm, and the thermostat opens", drive.Warming{StartsWarm: true}, opened, warm.Became, warm.ByThermostat, 500},
		{"the coolant holds a level", drive.Warming{}, holds, warm.Became, warm.ByLevel, 700},
		{"the rule before the level", drive.Warming{Rule: drive.WarmRule{After: 500}}, holds, warm.Became, warm.ByRule, 600},
		{"the coolant holds its level from the start", drive.Warming{}, thermostat.Result{Held: thermostat.Held{From: 10, Level: quantity.Celsius(84)}}, warm.AtStart, warm.ByLevel, math.NaN()},
		{"cooled by air", drive.Warming{AirCooled: true}, thermostat.Result{Outcome: thermostat.NoThermostat}, warm.NotKnown, warm.ByThermostat, math.NaN()},
	} {
		t.Run(c.what, func(t *testing.T) {
			d := cold(t)
			d.Warming = c.warming
			s := warm.Of(d, c.opening)
			if s.Outcome != c.outcome || s.Basis != c.basis {
				t.Fatalf("%v, want %v by %v", s, c.outcome, c.basis)
			}
			if math.IsNaN(s.At) != math.IsNaN(c.at) || math.Abs(s.At-c.at) > 2 {
				t.Errorf("at %g s, want %g s", s.At, c.at)
			}
			if s.Reason == "" && c.outcome != warm.Never && c.basis != warm.ByThermostat {
				t.Error("no reason")
			}
		})
	}
}

func TestMomentAgainstTheThermostat(t *testing.T) {
	d := cold(t)
	d.Warming = drive.Warming{HasMoment: true, Moment: 300, MomentUncertainty: 30}
	s := warm.Of(d, thermostat.Result{Outcome: thermostat.Opened, Onset: 500, Interval95: series.Interval{From: 480, To: 520}})
	if len(s.Warnings) != 1 || s.Warnings[0].Kind != warm.Conflict {
		t.Errorf("warnings %v", s.Warnings)
	}
	if got := s.Interval95; math.Abs(got.From-(300-1.96*30)) > 1e-9 || math.Abs(got.To-(300+1.96*30)) > 1e-9 {
		t.Errorf("interval %v", got)
	}
	for at, want := range map[float64]bool{299: false, 300: true} {
		if w, known := s.IsWarm(at); w != want || !known {
			t.Errorf("at %g s: warm %v, known %v", at, w, known)
		}
	}
}

// A short spike of the oil's probe does not make a warm engine.
func TestSpike(t *testing.T) {
	d := cold(t)
	s := d.Channels[drive.Oil].Series
	for i := 100; i < 115; i++ { // half a minute from 200 s on
		s.Value[i] = quantity.Celsius(130).Kelvin()
	}
	d.Warming = drive.Warming{Rule: drive.WarmRule{Role: drive.Oil, Above: quantity.Celsius(80)}}
	if got := warm.Of(d, untold); math.Abs(got.At-600) > 2 {
		t.Errorf("%v, want 600 s", got)
	}
}

func TestCooledByAirHearsOfNoThermostatToFind(t *testing.T) {
	d := cold(t)
	d.Warming.AirCooled = true
	r, err := thermostat.Find(d)
	if err != nil || r.Outcome != thermostat.NoThermostat {
		t.Fatalf("%v, %v", r, err)
	}
	if s := warm.Of(d, r); !strings.Contains(s.Reason, "[warm]") || strings.Contains(s.Reason, "probe on the radiator") {
		t.Errorf("reason %q", s.Reason)
	}
}
