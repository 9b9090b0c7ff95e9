package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// OverTime is an [Effect] at every sample of an intake temperature. All series
// hold relative changes against the same engine breathing the outside air.
type OverTime struct {
	Density *series.Series
	// Low and High are the lowest and the highest standard's change of
	// full-throttle power: what the throttle fully opened at that instant would
	// give, whatever it was.
	Low, High *series.Series
	// Missing and OutOfRange count the samples that are NaN.
	Missing, OutOfRange int
	Cautions            []string
}

// ChangeOverTime returns what full-throttle power would lose at every sample
// of an intake temperature against breathing the outside air, at the outside's
// pressure and vapour pressure. Formulas and cautions as for [ChangeOfPower].
// A missing temperature stays missing; one outside −40 °C to 150 °C becomes
// missing and is counted. A sample costs no memory.
//
// It fails for a series that is no temperature or whose times do not ascend, and
// for outside air that can't be.
func ChangeOverTime(intake *series.Series, outside air.State) (OverTime, error) {
	if intake.Dimension != series.Temperature {
		return OverTime{}, fmt.Errorf("engine.ChangeOverTime: series %q is a %v, want a %v", intake.Name, intake.Dimension, series.Temperature)
	}
	if err := intake.Check(); err != nil {
		return OverTime{}, fmt.Errorf("engine.ChangeOverTime: %w", err)
	}
	effect, err := ChangeOfPower(outside, outside)
	if err != nil {
		return OverTime{}, fmt.Errorf("engine.ChangeOverTime: %w", err)
	}
	rho, rejected, err := air.DensitySeries(intake, outside)
	if err != nil {
		return OverTime{}, fmt.Errorf("engine.ChangeOverTime: %w", err)
	}
	r := OverTime{Missing: rejected.Missing, OutOfRange: rejected.OutOfRange, Cautions: []string{PartThrottleNote, InKindNote, effect.Cautions[len(effect.Cautions)-1]}}
	n := intake.Len()
	density, low, high := make([]float64, n), make([]float64, n), make([]float64, n)
	p, dry, rho0 := float64(outside.Pressure), float64(outside.DryPressure()), float64(outside.Density())
	t0 := outside.Temperature.Kelvin()
	for i, t := range intake.Value {
		if math.IsNaN(rho.Value[i]) {
			density[i], low[i], high[i] = math.NaN(), math.NaN(), math.NaN()
			continue
		}
		density[i] = rho.Value[i]/rho0 - 1
		low[i], high[i] = math.Inf(1), math.Inf(-1)
		for s := range standards {
			change := s.factor(t0, dry, p)/s.factor(t, dry, p) - 1
			low[i], high[i] = math.Min(low[i], change), math.Max(high[i], change)
		}
	}
	r.Density = intake.With(intake.Name+": change of density", series.Dimensionless, density)
	r.Low = intake.With(intake.Name+": change of full-throttle power, lowest", series.Dimensionless, low)
	r.High = intake.With(intake.Name+": change of full-throttle power, highest", series.Dimensionless, high)
	return r, nil
}
