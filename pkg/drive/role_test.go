package drive_test

import (
	"math"
	"strings"
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func TestParseRole(t *testing.T) {
	for _, name := range []string{"intake", "oil", "own manifold", "own fuel line", "intake 1", "intake 9"} {
		r, err := ParseRole(name)
		if dim, ok := r.Dimension(); err != nil || string(r) != name || !ok || dim != quantity.KindTemperature {
			t.Errorf("%q: %q, %v", name, r, err)
		}
	}
	for _, name := range []string{"", "own", "own ", "own  fuel", "intake 0", "intake 01", "intake 10", "intake x", "own " + strings.Repeat("x", 41), "intke"} {
		if r, err := ParseRole(name); err == nil {
			t.Errorf("%q is taken for %q", name, r)
		}
	}
	if _, err := ParseRole("intke"); err == nil || !strings.Contains(err.Error(), `did you mean "intake"`) {
		t.Errorf("error %v", err)
	}
}

func twoIntakes(first, second *series.Series) []Part {
	half := sensor.Calibration{Uncertainty: quantity.KelvinDifference(0.3)}
	return []Part{{Device: "logger A", File: "a.csv", Reference: true, Inputs: []Input{
		{Role: IntakeProbe(1), Series: first, Column: "1", Calibration: half},
		{Role: IntakeProbe(2), Series: second, Column: "2", Calibration: half},
		{Role: Own("fuel"), Series: channel(series.Temperature, 0, 600, 2, celsius(12)), Column: "3"},
		{Role: Ambient, Series: channel(series.Temperature, 0, 600, 2, celsius(20)), Column: "4"},
	}}}
}

// Several intake probes are one intake, their mean, and each is kept.
func TestSeveralIntakes(t *testing.T) {
	gappy := channel(series.Temperature, 0, 600, 2, func(t float64) float64 {
		if t >= 100 && t < 200 {
			return math.NaN()
		}
		return 273.15 + 50
	})
	d := assemble(t, twoIntakes(channel(series.Temperature, 0, 600, 2, celsius(40)), gappy)...)
	c := d.Channels[Intake]
	if c == nil {
		t.Fatalf("no intake; %v", d.Notes)
	}
	if v := c.Series.Lookup(50, MaxGap); math.Abs(v-273.15-45) > 1e-9 {
		t.Errorf("intake %g K, want the mean of 40 and 50 °C", v)
	}
	if v := c.Series.Lookup(150, MaxGap); !math.IsNaN(v) {
		t.Errorf("intake %g K where one probe has no reading", v)
	}
	if want := 0.3 * math.Sqrt2 / 2; math.Abs(c.Uncertainty-want) > 1e-12 {
		t.Errorf("uncertainty %g K, want that of a mean of two, %g K", c.Uncertainty, want)
	}
	if probes := d.IntakeProbes(); len(probes) != 2 || !d.Has(IntakeProbe(1), IntakeProbe(2), Own("fuel")) {
		t.Errorf("roles %v", d.RoleList())
	}
	if own := d.OwnRoles(); len(own) != 1 || own[0] != "own fuel" {
		t.Errorf("own roles %v", own)
	}
	for _, k := range d.Checks() {
		if k.Suspicion == ChannelsSwapped {
			t.Errorf("fuel may be colder than the air: %v", k)
		}
	}
}

// The mean of fewer probes would be another mean.
func TestADeadIntakeProbe(t *testing.T) {
	dead := channel(series.Temperature, 0, 600, 2, func(float64) float64 { return math.NaN() })
	d := assemble(t, twoIntakes(channel(series.Temperature, 0, 600, 2, celsius(40)), dead)...)
	if d.Has(Intake) {
		t.Error("one probe passes for the mean of two")
	}
	said := false
	for _, n := range d.Notes {
		said = said || n.Kind == IntakeIncomplete && strings.Contains(n.Text, "intake 2 has no readings")
	}
	if !said {
		t.Errorf("notes %v", d.Notes)
	}
}

// A throttle's opening is 0 to 1, also where the file left out the percent sign.
func TestThrottleInPercent(t *testing.T) {
	for _, scale := range []float64{1, 5, 100} {
		d := assemble(t, Part{Device: "reader", File: "r.csv", Reference: true, Inputs: []Input{
			{Role: Throttle, Column: "tps", Series: channel(series.Dimensionless, 0, 600, 1, func(s float64) float64 { return scale * s / 600 })},
		}})
		if scale == 5 { // volts
			if d.Has(Throttle) || len(d.Notes) != 1 || d.Notes[0].Kind != NoReadings {
				t.Errorf("up to 5: %v", d.Notes)
			}
			continue
		}
		if lo, hi := d.Channels[Throttle].Series.MinMax(d.Interval()); lo != 0 || math.Abs(hi-599.0/600) > 1e-9 {
			t.Errorf("times %g: %g to %g", scale, lo, hi)
		}
	}
}
