package verdict

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A probe at the fuel tells of vapour lock, in the drive's units; cool fuel and
// other probes of one's own say nothing. By the flash of a chemist (package fuel)
// petrol of 10 psi boils at 60 °C under 20 psi, well above one atmosphere.
func TestHotFuelIsTold(t *testing.T) {
	look := func(role drive.Role, celsius float64) []estimate.Warning {
		var at, v []float64
		for s := 0.0; s < 1200; s += 2 {
			at, v = append(at, s), append(v, quantity.Celsius(celsius).Kelvin())
		}
		d := &drive.Drive{Name: "one", Channels: map[drive.Role]*drive.Channel{role: {Role: role, Column: "K1",
			Series: &series.Series{Name: "K1", Dimension: series.Temperature, Time: at, Value: v}}}, Weather: drive.Weather{Pressure: 96500}}
		d.Units.Temperature = quantity.KindTemperature.Unit("°F")
		var told []estimate.Warning
		for _, c := range LookAt(d, segment.DefaultRules()).Checks {
			if c.Kind == HotFuel {
				told = append(told, c)
			}
		}
		return told
	}
	hot := look(drive.Own("fuel line"), 75)
	if len(hot) != 1 || !strings.Contains(hot[0].Text, "167 °F") || strings.Contains(hot[0].Text, "°C") || strings.Count(hot[0].Text, "vapour lock") != 2 {
		t.Errorf("75 °C: %v", hot)
	}
	if warm := look(drive.Own("fuel"), 45); len(warm) != 1 || strings.Contains(warm[0].Text, "vapour lock, or") || !strings.Contains(warm[0].Text, "stays liquid") {
		t.Errorf("45 °C: %v", warm)
	}
	if cool := look(drive.Own("fuel"), 25); len(cool) != 0 {
		t.Errorf("25 °C: %v", cool)
	}
	if other := look(drive.Own("manifold"), 90); len(other) != 0 {
		t.Errorf("a manifold: %v", other)
	}
}
