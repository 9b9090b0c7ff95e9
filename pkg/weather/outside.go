// Package weather says what air was outside during a drive, with its
// uncertainty.
package weather

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Kinds of warnings about the outside air of a drive.
const (
	HumidityNotKnown estimate.Kind = "humidity not known"
	ProbeHeated      estimate.Kind = "ambient probe heated"
)

// OutsideAir is the air outside during a drive.
type OutsideAir struct {
	Drive string
	// State holds the values; take it to another temperature by
	// [air.State.Heated], which keeps the vapour pressure.
	State air.State
	// Pressure, Temperature, VapourPressure and Density at 95 %, in Pa, K, Pa
	// and kg/m³.
	Pressure, Temperature, VapourPressure, Density estimate.Estimate
	Warnings                                       []estimate.Warning
	// Units are those in which it is written: the drive's.
	Units quantity.Preferred
}

// ReadIn returns the units in which the air is read.
func (o OutsideAir) ReadIn() quantity.Preferred { return o.Units }

// UnknownHumidityUncertainty is the standard uncertainty of a humidity that nobody
// noted: anything from 20 % to 100 %.
const UnknownHumidityUncertainty quantity.RelativeHumidity = 0.231 // 0.4/√3

const (
	outsideLevel = 0.95
	// noHumidity is taken where nobody noted one.
	noHumidity = 0.6
	// idealMixture is the relative standard uncertainty of the density formula.
	idealMixture = 1e-3
)

// Outside returns the air outside during drive d with its uncertainty. The
// temperature is the lower quartile of the ambient channel, since what warms
// the probe only ever raises it; how far the median lies above it, and what
// the probe gains at stops, count as uncertainty. The humidity, as stated or
// measured, is taken at that temperature and turned into vapour pressure;
// where none is known it is taken as 60 % ± 40 %, and a warning says so.
//
// It fails for a drive without an ambient channel or without an air pressure,
// and, wrapping [air.ErrOutOfRange], for air that can't be.
func Outside(d *drive.Drive) (OutsideAir, error) {
	o := OutsideAir{Drive: d.Name, Units: d.Units}
	k := LowAmbient(d)
	if math.IsNaN(k) {
		return o, fmt.Errorf("weather.Outside: drive %q has no ambient channel; it has %v", d.Name, d.RoleList())
	}
	if !(d.Weather.Pressure > 0) {
		return o, fmt.Errorf("weather.Outside: drive %q has no air pressure: add pressure, or qnh and altitude, or altitude alone, to the campaign file", d.Name)
	}
	o.questions(d)
	h, uh := d.Weather.Humidity, d.Weather.HumidityUncertainty
	if !d.Weather.HumidityKnown {
		h, uh = noHumidity, UnknownHumidityUncertainty
		o.warn(HumidityNotKnown, "nobody noted the humidity; 60 %% is taken, ± 40 %%")
	}
	var err error
	if o.State, err = air.NewState(d.Weather.Pressure, quantity.Kelvin(k), h); err != nil {
		return o, fmt.Errorf("weather.Outside: drive %q: %w", d.Name, err)
	}
	return o, o.estimates(d, k, uh)
}

func (o *OutsideAir) warn(kind estimate.Kind, format string, args ...any) {
	o.Warnings = append(o.Warnings, estimate.Warning{Kind: kind, Subject: o.Drive, Text: fmt.Sprintf(format, args...)})
}

// questions takes over what was asked when the campaign was read.
func (o *OutsideAir) questions(d *drive.Drive) {
	for _, n := range d.Notes {
		switch n.Kind {
		case air.PressureDoubtful, air.HumidityDoubtful, air.AltitudeDoubtful:
			o.warn(n.Kind, "%s", n.Text)
		}
	}
}

// estimates fills the estimates by the derivatives of the formulas.
func (o *OutsideAir) estimates(d *drive.Drive, k float64, uh quantity.RelativeHumidity) error {
	source := func(kind estimate.SourceKind, id string) estimate.Source {
		return estimate.Source{Kind: kind, ID: d.Name + ": " + id}
	}
	temperature := o.ofTemperature(d, k, source)
	saturated, err := air.SaturationVapourPressure(o.State.Temperature)
	if err != nil {
		return err
	}
	warmer, err := air.SaturationVapourPressure(o.State.Temperature.Add(0.1))
	if err != nil {
		return err
	}
	h := float64(o.State.RelativeHumidity())
	pressure := []estimate.Contribution{{Source: source(estimate.Barometer, "pressure"), Effect: float64(d.Weather.PressureUncertainty)}}
	vapour := []estimate.Contribution{{Source: source(estimate.Hygrometer, "humidity"), Effect: float64(saturated) * float64(uh)}}
	for _, c := range temperature {
		c.Effect *= h * float64(warmer-saturated) / 0.1
		vapour = append(vapour, c)
	}
	if o.Pressure, err = estimate.New("outside pressure", float64(o.State.Pressure), d.Units.Of(quantity.KindPressure), outsideLevel, estimate.Propagated, pressure...); err != nil {
		return err
	}
	if o.Temperature, err = estimate.New("outside temperature", k, d.Units.Of(quantity.KindTemperature), outsideLevel, estimate.Propagated, temperature...); err != nil {
		return err
	}
	if o.VapourPressure, err = estimate.New("outside vapour pressure", float64(o.State.VapourPressure), d.Units.Of(quantity.KindPressure), outsideLevel, estimate.Propagated, vapour...); err != nil {
		return err
	}
	// ρ = (p − 0.378·e)/(R·T) for the ideal mixture.
	rho := float64(o.State.Density())
	const lighter = 1 - 287.05/461.5
	effective := float64(o.State.Pressure) - lighter*float64(o.State.VapourPressure)
	density := []estimate.Contribution{{Source: source(estimate.ModelSpread, "ideal mixture"), Effect: idealMixture * rho}}
	add := func(parts []estimate.Contribution, sensitivity float64) {
		for _, c := range parts {
			c.Effect *= sensitivity
			density = append(density, c)
		}
	}
	add(pressure, rho/effective)
	add(temperature, -rho/k)
	add(vapour, -lighter*rho/effective)
	o.Density, err = estimate.New("outside air density", rho, quantity.KindDensity.Shown(), outsideLevel, estimate.Propagated, density...)
	return err
}

// ofTemperature returns what the outside temperature's uncertainty is made of.
func (o *OutsideAir) ofTemperature(d *drive.Drive, k float64, source func(estimate.SourceKind, string) estimate.Source) []estimate.Contribution {
	c := d.Channels[drive.Ambient]
	all := []estimate.Contribution{
		{Source: source(estimate.Probe, "ambient"), Effect: c.ProbeUncertainty()},
		{Source: source(estimate.Scatter, "the air's own change"), Effect: math.Max(0, c.Series.Median(c.Series.Interval())-k)},
	}
	for _, check := range d.Checks() {
		if check.Suspicion == drive.AmbientHeated {
			o.warn(ProbeHeated, "%s", check.Message)
			all = append(all, estimate.Contribution{Source: source(estimate.Mounting, "ambient probe near the car's heat"), Effect: check.Size / math.Sqrt(3)})
		}
	}
	return all
}

// String returns the air in a line, in the drive's units, and what to know before
// it is trusted.
func (o OutsideAir) String() string {
	half := func(e estimate.Estimate) float64 { return e.Interval.Width() / 2 }
	hot, press := o.Units.Of(quantity.KindTemperature), o.Units.Of(quantity.KindPressure)
	pressure := func(p quantity.Pressure, e estimate.Estimate) string {
		digits := 1
		if press.ToSI(1) > 1000 { // inHg, psi, kPa
			digits = 2
		}
		return fmt.Sprintf("%.*f ± %.*f %s", digits, press.FromSI(float64(p)), digits, press.FromSI(half(e)), press.Symbol())
	}
	// An interval is as wide in the unit of temperature as a difference is.
	wide := hot.FromSI(o.State.Temperature.Kelvin()+half(o.Temperature)) - hot.FromSI(o.State.Temperature.Kelvin())
	s := fmt.Sprintf("%s, outside air at %.0f %%: %.1f ± %.1f %s, %s, of it vapour %s; %.3f ± %.3f kg/m³", o.Drive, 100*outsideLevel,
		hot.FromSI(o.State.Temperature.Kelvin()), wide, hot.Symbol(), pressure(o.State.Pressure, o.Pressure),
		pressure(o.State.VapourPressure, o.VapourPressure), o.Density.Value, half(o.Density))
	for _, w := range o.Warnings {
		s += "\n- " + w.Text
	}
	return s
}

// LowAmbient returns the lower quartile of the ambient channel in K, NaN
// without one: what warms the probe, at stops and by sun, only ever raises it.
func LowAmbient(d *drive.Drive) float64 {
	s, err := d.Channel(drive.Ambient)
	if err != nil {
		return math.NaN()
	}
	return s.Quantile(s.Interval(), 0.25)
}
