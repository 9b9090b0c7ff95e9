package weather

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
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
	if !estimate.Has(warm.Warnings, ProbeHeated) || estimate.Has(cool.Warnings, ProbeHeated) {
		t.Errorf("warnings %v and %v", warm.Warnings, cool.Warnings)
	}
}
