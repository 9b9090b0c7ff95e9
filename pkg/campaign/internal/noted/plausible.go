package noted

import (
	"cmp"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/weather"
)

// gpsAltitude is the half width of what is not known of a median altitude by
// GPS: 7 m to 23 m at 95 % are quoted for consumer receivers.
const gpsAltitude = 25 * quantity.Metre

// ask compares pressure, altitude and humidity as stated with each other and
// with the drive's own altitude, notes each question on the drive, and widens
// the uncertainty of what is asked about: of a pressure so that it covers the
// reading that would be plausible, of a humidity to that of an unknown one.
func (w Report) ask(d *drive.Drive, out *drive.Weather) error {
	if stated, as, ok := w.statedPressure(d); ok {
		if err := w.askPressure(d, out, stated, as); err != nil {
			return err
		}
	}
	w.askAltitude(d, out)
	if out.HumidityKnown {
		if k := w.dryBulb(d); k.IsValid() {
			questions, err := air.AskHumidityIn(d.Units, k, out.Humidity)
			if err != nil {
				return err
			}
			if d.Notes = append(d.Notes, questions...); len(questions) > 0 {
				// As unsure as if nobody had noted it.
				out.HumidityUncertainty = max(out.HumidityUncertainty, weather.UnknownHumidityUncertainty)
			}
		}
	}
	return nil
}

// statedPressure returns the pressure as it was given and how; a standard
// atmosphere's was not given.
func (w Report) statedPressure(d *drive.Drive) (quantity.Pressure, air.PressureStatement, bool) {
	switch p := middle(d, drive.Barometer); {
	case w.Pressure > 0:
		return w.Pressure, air.AtStation, true
	case w.QNH > 0:
		return w.QNH, air.ReducedToSeaLevel, true
	case !math.IsNaN(p):
		return quantity.Pressure(p), air.AtStation, true
	}
	return 0, air.AtStation, false
}

func (w Report) askPressure(d *drive.Drive, out *drive.Weather, stated quantity.Pressure, as air.PressureStatement) error {
	h, _, ok := w.altitude(d)
	if !ok {
		out.Source += " (no altitude to check the pressure by)"
		return nil
	}
	q, err := air.AskPressure(stated, as, h, w.altitudeHalfWidth(d))
	if err != nil {
		return fmt.Errorf("pressure: %w", err)
	}
	for _, w := range q.Warnings {
		w.Text = q.In(d.Units)
		d.Notes = append(d.Notes, w)
	}
	if q.Plausible {
		w.leaveUnsure(d, out, q)
		return nil
	}
	other := quantity.Pressure(q.Station.Value)
	if len(q.Meant) > 0 {
		other = q.Meant[0].Station
	}
	// A rectangle from the stated reading to the other one and as far beyond.
	out.PressureUncertainty = quantity.Pressure(math.Hypot(float64(out.PressureUncertainty), math.Abs(float64(other-out.Pressure))/math.Sqrt(3)))
	out.Source += " (doubtful, see the notes)"
	return nil
}

// leaveUnsure widens a stated pressure that may be meant the other way and would
// be plausible so, unless somebody stated how sure it is. A barometer of the
// drive's own measures what it says.
func (w Report) leaveUnsure(d *drive.Drive, out *drive.Weather, q air.PressureQuestion) {
	if w.Pressure == 0 && w.QNH == 0 || w.PressureUncertainty > 0 || q.Unsure == 0 {
		return
	}
	out.PressureUncertainty = quantity.Pressure(math.Hypot(float64(out.PressureUncertainty), float64(q.Unsure)))
	if q.Unsure > barometerUncertainty {
		other := air.ReducedToSeaLevel - q.As
		out.Source += fmt.Sprintf(" (at %.0f m it might also be one %v, which leaves %s unsure)", q.Altitude.Metres(), other, said(d.Units, q.Unsure))
	}
}

// altitudeHalfWidth covers GPS and the heights that the drive passed.
func (w Report) altitudeHalfWidth(d *drive.Drive) quantity.Length {
	s, err := d.Channel(drive.Altitude)
	if err != nil {
		return gpsAltitude
	}
	v := s.Interval()
	half := (s.Quantile(v, 0.95) - s.Quantile(v, 0.05)) / 2
	if math.IsNaN(half) {
		return gpsAltitude
	}
	return min(gpsAltitude+quantity.Length(half), 1000)
}

// askAltitude compares a stated altitude with the drive's own; a pressure that was
// worked out from it is as unsure as the other one makes it.
func (w Report) askAltitude(d *drive.Drive, out *drive.Weather) {
	own := middle(d, drive.Altitude)
	if !w.HasAltitude || math.IsNaN(own) {
		return
	}
	if limit := w.altitudeHalfWidth(d) + gpsAltitude; math.Abs(own-float64(w.Altitude)) > float64(limit) {
		text := fmt.Sprintf("an altitude of %.0f m is stated, but the drive's own is near %.0f m (± %.0f m)", w.Altitude.Metres(), own, limit.Metres())
		if feet := w.Altitude * quantity.Foot; math.Abs(own-float64(feet)) <= float64(limit) {
			text += fmt.Sprintf("; was it %.0f ft?", float64(w.Altitude))
		}
		d.Notes = append(d.Notes, estimate.Warning{Kind: air.AltitudeDoubtful, Subject: "altitude", Text: text})
		if other, err := air.StationPressure(cmp.Or(w.QNH, quantity.StandardAtmosphere), quantity.Length(own)); err == nil && w.Pressure == 0 {
			out.PressureUncertainty = quantity.Pressure(math.Hypot(float64(out.PressureUncertainty), math.Abs(float64(other-out.Pressure))/math.Sqrt(3)))
		}
	}
}

// dryBulb returns the temperature to which a stated humidity belongs: the
// stated one, else the drive's; invalid where neither is known.
func (w Report) dryBulb(d *drive.Drive) quantity.Temperature {
	if w.AirTemperature.IsValid() {
		return w.AirTemperature
	}
	return quantity.Kelvin(weather.LowAmbient(d))
}
