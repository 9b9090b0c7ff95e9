package engine

import (
	"errors"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Text is an engine's description as a person writes it in a TOML file:
// quantities are strings with a unit of the writer's choice. Empty strings and
// zeros are unknown.
type Text struct {
	Name             string  `toml:"name,omitempty"`
	Displacement     string  `toml:"displacement"`
	Cylinders        int     `toml:"cylinders,omitempty"`
	Bore             string  `toml:"bore,omitempty"`
	Stroke           string  `toml:"stroke,omitempty"`
	CompressionRatio float64 `toml:"compression-ratio,omitempty"`
	RatedPower       string  `toml:"rated-power,omitempty"`
	RatedPowerSpeed  string  `toml:"rated-power-speed,omitempty"`
	RatedTorque      string  `toml:"rated-torque,omitempty"`
	RatedTorqueSpeed string  `toml:"rated-torque-speed,omitempty"`
	Redline          string  `toml:"redline,omitempty"`
	Carburettor      string  `toml:"carburettor,omitempty"`
	Carburettors     int     `toml:"carburettors,omitempty"`
	Lambda           string  `toml:"lambda,omitempty"`
	Ignition         string  `toml:"ignition,omitempty"`
	Thermostat       string  `toml:"thermostat,omitempty"`
}

// Parse returns the checked description. The error joins every problem, each
// beginning with the key that it concerns.
func (x Text) Parse() (Description, error) {
	d := Description{Name: x.Name, Cylinders: x.Cylinders, CompressionRatio: x.CompressionRatio, Carburettors: x.Carburettors, Ignition: x.Ignition}
	var problems []error
	keep := func(key string, err error) {
		if err != nil {
			problems = append(problems, fmt.Errorf("%s: %w", key, err))
		}
	}
	keep("displacement", parseInto(x.Displacement, quantity.ParseVolume, &d.Displacement))
	keep("bore", parseInto(x.Bore, quantity.ParseLength, &d.Bore))
	keep("stroke", parseInto(x.Stroke, quantity.ParseLength, &d.Stroke))
	keep("rated-power", parseInto(x.RatedPower, quantity.ParsePower, &d.RatedPower))
	keep("rated-power-speed", parseInto(x.RatedPowerSpeed, quantity.ParseRotationalSpeed, &d.RatedPowerSpeed))
	keep("rated-torque", parseInto(x.RatedTorque, quantity.ParseTorque, &d.RatedTorque))
	keep("rated-torque-speed", parseInto(x.RatedTorqueSpeed, quantity.ParseRotationalSpeed, &d.RatedTorqueSpeed))
	keep("redline", parseInto(x.Redline, quantity.ParseRotationalSpeed, &d.Redline))
	keep("thermostat", parseInto(x.Thermostat, quantity.ParseTemperature, &d.Thermostat))
	var err error
	d.Carburettor, err = ParseCarburettor(x.Carburettor)
	keep("carburettor", err)
	if x.Lambda != "" {
		d.Lambda, err = ParseLambda(x.Lambda)
		keep("lambda", err)
	}
	if len(problems) == 0 {
		if err := d.Check(); err != nil {
			problems = append(problems, err)
		}
	}
	if len(problems) > 0 {
		return Description{}, errors.Join(problems...)
	}
	return d, nil
}

func parseInto[Q any](text string, parse func(string) (Q, error), to *Q) error {
	if text == "" {
		return nil
	}
	v, err := parse(text)
	if err == nil {
		*to = v
	}
	return err
}
