package weather

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// An ambient probe that a stop warms does not warm the outside air: the value
// stays near that on the road, and the uncertainty grows.
func TestHeatedProbe(t *testing.T) {
	simulated := func(warming float64) *drive.Drive {
		var at, ambient, speed []float64
		for s := 0.0; s < 1800; s += 2 {
			v, k := 15.0, 290.15
			if m := math.Mod(s, 600); m > 450 {
				v, k = 0, k+warming*(m-450)/150
			}
			at, ambient, speed = append(at, s), append(ambient, k), append(speed, v)
		}
		channel := func(r drive.Role, d series.Dimension, v []float64) *drive.Channel {
			return &drive.Channel{Role: r, Series: &series.Series{Name: string(r), Dimension: d, Time: at, Value: v}, Uncertainty: 0.3}
		}
		return &drive.Drive{Name: "one", Channels: map[drive.Role]*drive.Channel{
			drive.Ambient: channel(drive.Ambient, series.Temperature, ambient), drive.Speed: channel(drive.Speed, series.Speed, speed),
		}, Weather: drive.Weather{Pressure: 97500, PressureUncertainty: 100, Humidity: 0.55, HumidityUncertainty: 0.05, HumidityKnown: true}}
	}
	cool, err := Outside(simulated(0))
	if err != nil {
		t.Fatal(err)
	}
	warm, err := Outside(simulated(8))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(warm.Temperature.Value-290.15) > 0.1 || warm.Temperature.Interval.Width() < 2*cool.Temperature.Interval.Width() {
		t.Errorf("heated: %v; not heated: %v", warm.Temperature, cool.Temperature)
	}
	if !strings.Contains(cool.String(), "°C") || !strings.Contains(cool.String(), "hPa") {
		t.Errorf("in the usual units: %v", cool)
	}
	// 290.15 K are 62.6 °F, 975 hPa 28.79 inHg, a width of 1 K one of 1.8 °F
	// (NIST SP 811, B.8).
	american := simulated(0)
	american.Units = quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F"), Pressure: quantity.KindPressure.Unit("inHg")}
	there, err := Outside(american)
	if err != nil {
		t.Fatal(err)
	}
	half := fmt.Sprintf("62.6 ± %.1f °F, 28.79 ± ", 1.8*cool.Temperature.Interval.Width()/2)
	if text := there.String(); !strings.Contains(text, half) || strings.Contains(text, "°C") || strings.Contains(text, "hPa") {
		t.Errorf("%v, want %s", there, half)
	}
	if !estimate.Has(warm.Warnings, ProbeHeated) || estimate.Has(cool.Warnings, ProbeHeated) {
		t.Errorf("warnings %v and %v", warm.Warnings, cool.Warnings)
	}
}

// A probe behind the grille that warms whenever the car is slow, without a stop of
// any length, is recognised; a real change of the air over the drive, and air that is
// the colder the higher the road, are not taken for it.
func TestProbeWarmedAtLowSpeed(t *testing.T) {
	made := func(air func(s, v float64) float64) *drive.Drive {
		var at, ambient, speed []float64
		for s := 0.0; s < 3600; s += 2 {
			v := 14 + 9*math.Sin(2*math.Pi*s/700) + 3*math.Sin(2*math.Pi*s/90)
			at, ambient, speed = append(at, s), append(ambient, air(s, v)), append(speed, max(2, v))
		}
		channel := func(r drive.Role, d series.Dimension, v []float64) *drive.Channel {
			return &drive.Channel{Role: r, Series: &series.Series{Name: string(r), Dimension: d, Time: at, Value: v}, Uncertainty: 0.3}
		}
		return &drive.Drive{Name: "slow", Channels: map[drive.Role]*drive.Channel{
			drive.Ambient: channel(drive.Ambient, series.Temperature, ambient), drive.Speed: channel(drive.Speed, series.Speed, speed),
		}, Weather: drive.Weather{Pressure: 97500, PressureUncertainty: 100, Humidity: 0.55, HumidityUncertainty: 0.05, HumidityKnown: true}}
	}
	noise := func(s float64) float64 { return 0.3 * math.Sin(s/37) * math.Cos(s/11) }
	for name, c := range map[string]struct {
		air  func(s, v float64) float64
		want bool
	}{
		"warmed":             {func(s, v float64) float64 { return 290 + 5*(1-v/26) + noise(s) }, true},
		"warmed, and midday": {func(s, v float64) float64 { return 290 + s/900 + 4*(1-v/26) + noise(s) }, true},
		"the day's own":      {func(s, v float64) float64 { return 290 + 6*s/3600 + noise(s) }, false},
		"up a pass":          {func(s, v float64) float64 { return 290 - 0.0065*900*math.Sin(math.Pi*s/3600) + noise(s) }, false},
	} {
		o, err := Outside(made(c.air))
		if err != nil {
			t.Fatal(err)
		}
		if got := estimate.Has(o.Warnings, ProbeHeated); got != c.want {
			t.Errorf("%s: %v", name, o)
		}
		if c.want && (o.Temperature.Value > 293.5 || o.Temperature.Interval.Width() < 2) {
			t.Errorf("%s: %v", name, o.Temperature)
		}
	}
}
