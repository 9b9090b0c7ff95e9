package sensor_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Who reads in °F finds no °C and no K: a difference of 10 K is one of 18 °F
// (NIST SP 811, B.8).
func TestTextsInTheReadersUnits(t *testing.T) {
	units := quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F")}.Matching()
	var at, warm, warmer []float64
	for s := range 600 {
		at, warm, warmer = append(at, float64(s)), append(warm, 290+0.02*float64(s)), append(warmer, 310+0.2*float64(s))
	}
	channel := func(v []float64) *series.Series {
		return &series.Series{Name: "T", Dimension: series.Temperature, Time: at, Value: v}
	}
	whole := series.Interval{From: 0, To: 600}
	cup, err := sensor.SameCup([]*series.Series{channel(warm), channel(warmer)}, whole, sensor.CupOptions{Units: units})
	if err != nil {
		t.Fatal(err)
	}
	settled, err := sensor.SettledReading(channel(warmer), whole)
	if err != nil {
		t.Fatal(err)
	}
	if len(cup.Warnings) == 0 || len(settled.Warnings) == 0 {
		t.Fatalf("the test wants warnings: %v, %v", cup.Warnings, settled.Warnings)
	}
	for _, text := range []string{
		cup.String(), settled.In(units).Warnings[0].Text,
		sensor.Calibration{Offset: 10, Gain: 1.01, About: quantity.Celsius(20), Uncertainty: 1}.In(units),
		sensor.LagCorrection{Largest: 10}.In(units), sensor.Plunge{Step: 10}.In(units),
	} {
		if strings.Contains(text, " K") || strings.Contains(text, "°C") || !strings.Contains(text, "°F") {
			t.Errorf("not in °F: %s", text)
		}
	}
	if text := (sensor.LagCorrection{Largest: 10}).In(units); !strings.Contains(text, "18.0 °F") {
		t.Error(text)
	}
	if text := fmt.Sprint(sensor.Calibration{Offset: 10, Gain: 1.01, About: quantity.Celsius(20)}); !strings.Contains(text, "+10.00 K, gain 1.0100 about 20 °C") {
		t.Error(text)
	}
}
