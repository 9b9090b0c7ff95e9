package campaign_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
)

// rig is the valid campaign with pieces replaced, in pairs of old and new.
func rig(t *testing.T, replace ...string) string {
	t.Helper()
	for i := 0; i < len(replace); i += 2 {
		if !strings.Contains(valid, replace[i]) {
			t.Fatalf("the valid campaign has no %q", replace[i])
		}
	}
	return strings.NewReplacer(replace...).Replace(valid)
}

func TestAnotherEngine(t *testing.T) {
	c, err := campaign.Open(folder(t, rig(t, `carburettor = "constant-depression"`, `mixture = "injection"`, "carburettors = 1\nthermostat = \"82 degC\"", "cooling = \"air\"\nintakes = 2",
		`"2" = "intake"`, `"2" = "intake 1"`, `"3" = "engine-bay"`, `"3" = "intake 2"`, `"4" = "top-tank"`, `"4" = "own manifold"`)))
	if err != nil {
		t.Fatal(err)
	}
	if c.Engine.Carburettor != engine.Injection || c.Intakes != 2 || !c.AirCooled {
		t.Errorf("engine %v, %d intakes, cooled by air: %v", c.Engine.Carburettor, c.Intakes, c.AirCooled)
	}
	d, err := c.Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	if !d.Has(drive.Intake, drive.IntakeProbe(1), drive.IntakeProbe(2), drive.Own("manifold")) || !d.Warming.AirCooled {
		t.Errorf("roles %v, warming %+v", d.RoleList(), d.Warming)
	}
}

// Nonsense is refused, with the key named.
func TestEngineNonsense(t *testing.T) {
	question := func(s string) []string {
		return []string{"[[configuration]]\nname = \"cold", "[question]\n" + s + "\n[[configuration]]\nname = \"cold"}
	}
	for _, c := range []struct {
		what    string
		replace []string
		key     string
		says    string
	}{
		{"a thermostat on an engine cooled by air", []string{"[[configuration]]\nname = \"open", "cooling = \"air\"\n[[configuration]]\nname = \"open"}, "engine.thermostat", "no thermostat"},
		{"carburettors with injection", []string{`carburettor = "constant-depression"`, `mixture = "injection"`}, "engine.carburettors", "no carburettors"},
		{"mixture said twice", []string{`carburettors = 1`, `mixture = "fixed-jet"`}, "engine.mixture", "leave one"},
		{"a mixture that is none", []string{`carburettor = "constant-depression"`, `mixture = "magic"`}, "engine.mixture", "injection"},
		{"more probes than intakes", []string{`carburettors = 1`, `intakes = 1`, `"2" = "intake"`, `"2" = "intake 1"`, `"3" = "engine-bay"`, `"3" = "intake 2"`}, "engine.intakes", "spare intake 1"},
		{"a number left out", []string{`"2" = "intake"`, `"2" = "intake 1"`, `"3" = "engine-bay"`, `"3" = "intake 3"`}, "device.channels", "number them from 1"},
		{"one without a number", []string{`"3" = "engine-bay"`, `"3" = "intake 2"`}, "device.channels", "number them all"},
		{"two intakes without numbers", []string{`"3" = "engine-bay"`, `"3" = "intake"`}, "device[1].channels.3", `"intake 1"`},
		{"a role of no name", []string{`"3" = "engine-bay"`, `"3" = "own"`}, "device[1].channels.3", "own manifold"},
		{"rated power above the rated torque's", []string{`"122 N m"`, `"80 N m"`}, "engine", "rated (greatest) torque"},
		{"a covariate that nobody measures", question(`covariate = "oil"`), "question.covariate", "no device"},
		{"the intake as covariate", question(`covariate = "intake"`), "question.covariate", "part of it"},
		{"a control that nobody measures", question(`control = "oil"`), "question.control", "no device"},
		{"the intake as control", question(`control = "intake"`), "question.control", "part of it"},
		{"a speed as covariate", question(`covariate = "speed"`), "question.covariate", "no temperature"},
	} {
		t.Run(c.what, func(t *testing.T) {
			_, err := campaign.Open(folder(t, rig(t, c.replace...)))
			var ps campaign.Problems
			if !errors.As(err, &ps) {
				t.Fatalf("error %v, want Problems", err)
			}
			for _, p := range ps {
				if p.Key == c.key && strings.Contains(p.Error(), c.says) {
					return
				}
			}
			t.Errorf("%v, want the key %s and %q", ps, c.key, c.says)
		})
	}
}

// Ethanol and the bowl's temperature count by how two configurations differ: where
// one states them and another does not, that one is named.
func TestFuelOfConfigurations(t *testing.T) {
	both := rig(t, `name = "open filters"`, "name = \"open filters\"\nethanol = \"0 to 5 %\"\nbowl-temperature = \"45 degC\"", `name = "cold-air duct"`, "name = \"cold-air duct\"\nethanol = \"10 %\"\nbowl-temperature = \"100 degF\"")
	c, err := campaign.Open(folder(t, both))
	if err != nil {
		t.Fatal(err)
	}
	was, is := c.Configurations[0].Fuel, c.Configurations[1].Fuel
	if was.Blend.String() != "0 to 5 %" || is.Blend.Ethanol != 0.10 || math.Abs(is.Bowl.Celsius()-37.78) > 0.01 || math.Abs(was.Bowl.Celsius()-45) > 1e-9 {
		t.Errorf("%+v, %+v", was, is)
	}
	for _, line := range []string{`ethanol = "10 %"`, `bowl-temperature = "40 degC"`} {
		_, err := campaign.Open(folder(t, with(t, `name = "cold-air duct"`, "name = \"cold-air duct\"\n"+line)))
		key, _, _ := strings.Cut(line, " ")
		if err == nil || !strings.Contains(err.Error(), "configuration[1]."+key+": another configuration has this key") {
			t.Errorf("%s at one of two: %v", line, err)
		}
	}
}
