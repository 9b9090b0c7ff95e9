package campaign

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/draft"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/noted"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// WeatherReport is what the campaign file says about the outside air of a
// drive, in the form in which it was noted.
type WeatherReport = noted.Report

func readWeather(t *table) WeatherReport {
	w := WeatherReport{
		Pressure:            quantity.Pressure(orZero(t.quantity("pressure", false, quantity.KindPressure, 50000, 110000))),
		QNH:                 quantity.Pressure(orZero(t.quantity("qnh", false, quantity.KindPressure, 87000, 109000))),
		PressureUncertainty: quantity.Pressure(orZero(t.quantity("pressure-uncertainty", false, quantity.KindPressure, 0, 20000))),
		HumidityUncertainty: quantity.RelativeHumidity(orZero(t.quantity("humidity-uncertainty", false, quantity.KindShare, 0, 0.5))),
	}
	if h := t.quantity("altitude", false, quantity.KindLength, -430, 6000); !math.IsNaN(h) {
		w.Altitude, w.HasAltitude = quantity.Length(h), true
	}
	if h := t.quantity("humidity", false, quantity.KindRelativeHumidity, 0, 1); !math.IsNaN(h) {
		w.Humidity, w.HasHumidity = quantity.RelativeHumidity(h), true
	}
	w.DewPoint = readTemperature(t, "dew-point")
	w.WetBulb = readTemperature(t, "wet-bulb")
	if n := t.get("air-temperature", false, ""); n == nil || n.scalar != draft.NotNoted {
		w.AirTemperature = readTemperature(t, "air-temperature")
	}
	w.AirTemperatureUncertainty = quantity.TemperatureDifference(orZero(t.kelvins("air-temperature-uncertainty", 20)))
	if w.AirTemperatureUncertainty < 0 {
		t.problems.add(t.line("air-temperature-uncertainty"), t.key("air-temperature-uncertainty"), "an uncertainty cannot be negative")
	}

	if w.Pressure > 0 && w.QNH > 0 {
		t.problems.add(t.line("qnh"), t.key("qnh"), "give either pressure (measured at the car) or qnh (reduced to sea level), not both")
	}
	if given := slices.DeleteFunc([]string{"humidity", "dew-point", "wet-bulb"}, func(k string) bool { return !t.has(k) }); len(given) > 1 {
		t.problems.add(t.node.line, t.path, "give humidity in one way only: humidity, dew-point or wet-bulb")
	}
	for _, name := range []string{"dew-point", "wet-bulb"} {
		at := w.DewPoint
		if name == "wet-bulb" {
			at = w.WetBulb
		}
		if at.IsValid() && w.AirTemperature.IsValid() && at.Compare(w.AirTemperature) > 0 {
			t.problems.add(t.line(name), t.key(name), "%v lies above the air temperature, %v, which cannot be", at, w.AirTemperature)
		}
	}
	return w
}

func readTemperature(t *table, name string) quantity.Temperature {
	k := t.quantity(name, false, quantity.KindTemperature, 213.15, 333.15)
	if math.IsNaN(k) {
		return quantity.Temperature{}
	}
	return quantity.Kelvin(k)
}
