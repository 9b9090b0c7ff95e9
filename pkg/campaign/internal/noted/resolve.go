package noted

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/weather"
)

// Standard uncertainties where the file states none, common practice: a
// barometer on the spot or QNH reads to about 1 hPa; 10 m of altitude are
// 1.2 hPa; a stated humidity, dew point or wet bulb comes to 5 % or 1 K.
const (
	barometerUncertainty = 1 * quantity.Hectopascal
	altitudeUncertainty  = 1.2 * quantity.Hectopascal
	humidityUncertainty  = 5 * quantity.PercentHumidity
	bulbUncertainty      = 1.0 // K
)

// Resolve turns what was noted into pressure and humidity at the car of a
// drive, and adds to the drive's notes what to ask. It fails where what was noted
// can't be, or lacks what it needs.
func (w Report) Resolve(d *drive.Drive) (drive.Weather, error) {
	var out drive.Weather
	pressureSource, err := w.pressure(d, &out)
	if err != nil {
		return out, err
	}
	humiditySource, err := w.humidity(d, &out)
	if err != nil {
		return out, err
	}
	if w.PressureUncertainty > 0 {
		out.PressureUncertainty = w.PressureUncertainty
	}
	if w.HumidityUncertainty > 0 && out.HumidityKnown {
		out.HumidityUncertainty = w.HumidityUncertainty
	}
	out.Source = pressureSource + "; " + humiditySource
	return out, w.ask(d, &out)
}

func (w Report) pressure(d *drive.Drive, out *drive.Weather) (string, error) {
	switch {
	case w.Pressure > 0:
		out.Pressure, out.PressureUncertainty = w.Pressure, barometerUncertainty
		return "pressure measured at the car", nil
	case w.QNH > 0:
		h, where, ok := w.altitude(d)
		if !ok {
			return "", fmt.Errorf("qnh is given, but no altitude: add altitude, or use pressure for a value measured at the car")
		}
		p, err := air.StationPressure(w.QNH, h)
		if err != nil {
			return "", err
		}
		out.Pressure, out.PressureUncertainty = p, quantity.Pressure(math.Hypot(float64(barometerUncertainty), float64(altitudeUncertainty)))
		return fmt.Sprintf("pressure from QNH %s at %.0f m (%s)", said(d.Units, w.QNH), h.Metres(), where), nil
	}
	if p := middle(d, drive.Barometer); !math.IsNaN(p) {
		out.Pressure, out.PressureUncertainty = quantity.Pressure(p), barometerUncertainty
		return "pressure from the drive's barometer", nil
	}
	if h, where, ok := w.altitude(d); ok {
		e, err := air.PressureFromAltitude(h, w.altitudeHalfWidth(d)/2)
		if err != nil {
			return "", err
		}
		out.Pressure, out.PressureUncertainty = quantity.Pressure(e.Value), quantity.Pressure(e.StandardUncertainty())
		return fmt.Sprintf("pressure of the standard atmosphere at %.0f m (%s), the day's weather not known", h.Metres(), where), nil
	}
	return "pressure not known: add pressure, or qnh and altitude, or altitude alone", nil
}

// altitude returns the stated altitude or the middle one of the drive's.
func (w Report) altitude(d *drive.Drive) (quantity.Length, string, bool) {
	if w.HasAltitude {
		return w.Altitude, "stated", true
	}
	if h := middle(d, drive.Altitude); !math.IsNaN(h) {
		return quantity.Length(h), "median of the drive", true
	}
	return 0, "", false
}

func (w Report) humidity(d *drive.Drive, out *drive.Weather) (string, error) {
	if w.HasHumidity {
		out.Humidity, out.HumidityKnown, out.HumidityUncertainty = w.Humidity, true, humidityUncertainty
		return "relative humidity stated", nil
	}
	if w.DewPoint.IsValid() || w.WetBulb.IsValid() {
		return w.fromBulbs(d, out)
	}
	if h := middle(d, drive.Humidity); !math.IsNaN(h) {
		out.Humidity, out.HumidityKnown, out.HumidityUncertainty = quantity.RelativeHumidity(h), true, humidityUncertainty
		return "relative humidity from the drive's channel", nil
	}
	return "humidity not known: add humidity, dew-point or wet-bulb", nil
}

// fromBulbs finds the relative humidity from dew point or wet bulb and the
// temperature of the air.
func (w Report) fromBulbs(d *drive.Drive, out *drive.Weather) (string, error) {
	t, where := w.AirTemperature, "stated air temperature"
	if !t.IsValid() {
		k := weather.LowAmbient(d)
		if math.IsNaN(k) {
			return "", fmt.Errorf("dew-point or wet-bulb needs the temperature of the air, and the drive has no ambient channel: add air-temperature")
		}
		t, where = quantity.Kelvin(k), "the drive's ambient channel"
	}
	vapour, name, err := w.vapour(d.Units, t, out.Pressure)
	if err != nil {
		return "", fmt.Errorf("%s does not fit an air temperature of %s (%s): %w; a wet bulb must lie between %s and the air temperature, and not so low that the air would hold less than no water; check both readings, or give humidity", name, said(d.Units, t), where, err, said(d.Units, quantity.Celsius(0)))
	}
	saturated, err := air.SaturationVapourPressure(t)
	if err != nil {
		return "", err
	}
	h := float64(vapour / saturated)
	if h < 0 || h > 1.02 {
		return "", fmt.Errorf("%s does not fit an air temperature of %s (%s): the relative humidity would be %.0f %%", name, said(d.Units, t), where, 100*h)
	}
	out.Humidity, out.HumidityKnown = quantity.RelativeHumidity(math.Min(h, 1)), true
	out.HumidityUncertainty = w.bulbEffect(t, out.Pressure, h)
	return fmt.Sprintf("relative humidity from %s and %s (%s)", name, said(d.Units, t), where), nil
}

// bulbEffect returns what the uncertainty of dew point or wet bulb does to the
// relative humidity h: by difference, to the colder side, or to the warmer one
// where no air is as dry as that.
func (w Report) bulbEffect(t quantity.Temperature, p quantity.Pressure, h float64) quantity.RelativeHumidity {
	saturated, err := air.SaturationVapourPressure(t)
	if err != nil {
		return humidityUncertainty
	}
	for _, k := range []float64{-bulbUncertainty, bulbUncertainty} {
		moved := w
		moved.DewPoint, moved.WetBulb = shifted(w.DewPoint, k), shifted(w.WetBulb, k)
		if v, _, err := moved.vapour(quantity.Preferred{}, t, p); err == nil {
			return quantity.RelativeHumidity(math.Abs(float64(v/saturated) - h))
		}
	}
	return humidityUncertainty
}

func shifted(t quantity.Temperature, kelvins float64) quantity.Temperature {
	if !t.IsValid() {
		return t
	}
	return t.Add(quantity.KelvinDifference(kelvins))
}

func (w Report) vapour(units quantity.Preferred, t quantity.Temperature, p quantity.Pressure) (quantity.Pressure, string, error) {
	if w.DewPoint.IsValid() {
		e, err := air.SaturationVapourPressure(w.DewPoint)
		return e, "dew point " + said(units, w.DewPoint), err
	}
	if p == 0 {
		p = quantity.StandardAtmosphere
	}
	e, err := air.PsychrometerVapourPressure(p, t, w.WetBulb)
	return e, "wet bulb " + said(units, w.WetBulb), err
}

// said writes a quantity for the drive's owner.
func said(units quantity.Preferred, q any) string {
	text, _ := units.Text(q)
	return text
}

// middle returns the median of a role's values, NaN if there is none.
func middle(d *drive.Drive, r drive.Role) float64 {
	s, err := d.Channel(r)
	if err != nil {
		return math.NaN()
	}
	return s.Median(s.Interval())
}
