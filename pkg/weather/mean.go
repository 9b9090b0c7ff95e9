package weather

import (
	"errors"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// MeanAir is the outside air of several drives without its temperature: the vapour
// in it stays when it is warmed or cooled, its relative humidity does not.
type MeanAir struct {
	Pressure, VapourPressure quantity.Pressure
	// Standard uncertainties, those of the drives on average: one barometer and
	// one hygrometer for all of them are not averaged away.
	PressureUncertainty, VapourUncertainty quantity.Pressure
	// Warnings say what was not known, each kind once.
	Warnings []estimate.Warning
}

// Mean averages over the drives whose outside air is known. It fails with the
// first drive's reason where none is.
func Mean(drives []*drive.Drive) (MeanAir, error) {
	var mean MeanAir
	var first error
	n := quantity.Pressure(0)
	for _, d := range drives {
		o, err := Outside(d)
		if err != nil {
			if first == nil {
				first = err
			}
			continue
		}
		n++
		mean.Pressure += (o.State.Pressure - mean.Pressure) / n
		mean.VapourPressure += (o.State.VapourPressure - mean.VapourPressure) / n
		mean.PressureUncertainty += (quantity.Pressure(o.Pressure.StandardUncertainty()) - mean.PressureUncertainty) / n
		mean.VapourUncertainty += (quantity.Pressure(o.VapourPressure.StandardUncertainty()) - mean.VapourUncertainty) / n
		for _, w := range o.Warnings {
			if w.Kind == HumidityNotKnown && !estimate.Has(mean.Warnings, w.Kind) {
				mean.Warnings = append(mean.Warnings, w)
			}
		}
	}
	switch {
	case n > 0:
		return mean, nil
	case first != nil:
		return mean, first
	}
	return mean, errors.New("weather.Mean: there is no drive")
}

// At returns the air at a temperature; what vapour it cannot hold there has
// dropped out. It fails, wrapping [air.ErrOutOfRange], for air that can't be.
func (m MeanAir) At(t quantity.Temperature) (air.State, error) {
	saturated, err := air.SaturationVapourPressure(t)
	if err != nil {
		return air.State{}, err
	}
	s := air.State{Pressure: m.Pressure, Temperature: t, VapourPressure: min(m.VapourPressure, saturated)}
	return s, s.Check()
}
