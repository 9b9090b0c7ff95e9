package duct

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// WithMixture returns what the duct is worth at full throttle at engine speed n
// and road speed v with the mixture in it, which [Point.Power] leaves out: a
// carburettor that nobody adjusts gets leaner with the cooler air. The point's
// bounds of temperature and pressure go in as uniform distributions, without
// ram pressure; metering says what is known of the carburettor (its kind, left
// out, is the engine's; its losses of pressure are the duct's), and lambda where
// the mixture stood, the zero value for [engine.UsualLambda].
//
// Errors are those of [Installation.At] and of [engine.Charge.Power].
func (x Installation) WithMixture(n quantity.RotationalSpeed, v quantity.Speed, metering engine.Metering, lambda engine.LambdaRange) (engine.PowerBudget, error) {
	p, err := x.At(n, v)
	if err != nil {
		return engine.PowerBudget{Total: p.Power}, err
	}
	if metering.Kind == engine.UnknownCarburettor {
		metering.Kind = x.Engine.Carburettor
	}
	lost := quantity.Pressure(p.Lost.Value)
	metering.LossBefore, metering.LossAfter = p.PresentLoss, max(0, p.PresentLoss+lost)
	c := engine.Charge{Outside: x.Outside, Metering: metering, Lambda: lambda,
		LossUncertainty: quantity.Pressure(max(p.Lost.Interval.High-p.Lost.Value, p.Lost.Value-p.Lost.Interval.Low))}
	rise := x.PresentIntake.Sub(x.Outside.Temperature).Kelvins()
	b, err := c.Power(estimate.Within("rise of the present intake", rise, kelvin, rise, rise),
		estimate.Within("change by the duct", -p.Gained.Value, kelvin, -p.Gained.Interval.High, -p.Gained.Interval.Low))
	if err != nil {
		return b, fmt.Errorf("duct.WithMixture: %w", err)
	}
	return b, nil
}
