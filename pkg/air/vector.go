package air

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// ErrShape is wrapped by errors about slices whose lengths do not fit.
var ErrShape = errors.New("slices do not fit together")

// Rejected counts the samples for which a vector function wrote NaN.
type Rejected struct {
	// Missing samples had a NaN among their arguments.
	Missing int
	// OutOfRange samples had an argument outside the valid range.
	OutOfRange int
	// First is the index of the first sample out of range, -1 if none.
	First int
	// Reason says what was wrong with that sample; nil if none was.
	Reason error
}

// String returns the counts and the first reason.
func (r Rejected) String() string {
	if r.OutOfRange == 0 {
		return fmt.Sprintf("%d missing", r.Missing)
	}
	return fmt.Sprintf("%d missing, %d out of range, the first at index %d: %v", r.Missing, r.OutOfRange, r.First, r.Reason)
}

// Densities writes the density in kg/m³ of each sample of moist air to dst and
// returns dst and what was rejected. p is absolute pressure in Pa, t
// temperature in K, h relative humidity over water as a fraction at that
// temperature; p and h may have one element that holds for all samples. dst
// may be nil, which allocates, or have t's length. Formula and ranges as for
// [Density]; a sample with NaN or out of range becomes NaN.
//
// It fails for slices of unequal length.
func Densities(dst, p, t, h []float64) ([]float64, Rejected, error) {
	return vector("Densities", dst, p, t, h, func(p, t, h float64) float64 {
		if !pressureOK(p) || !temperatureOK(t) || !humidityOK(h) {
			return math.NaN()
		}
		e := h * hylandWexler(t)
		if e > p/2 {
			return math.NaN()
		}
		return idealMixture(p, t, e)
	}, func(p, t, h float64) error {
		_, err := Density(quantity.Pressure(p), quantity.Kelvin(t), quantity.RelativeHumidity(h))
		return err
	})
}

// DensitiesFromVapourPressure is [Densities] with vapour pressures e in Pa in
// place of relative humidities: right for a hot bay, where outside humidity
// does not hold.
//
// Errors are those of [Densities].
func DensitiesFromVapourPressure(dst, p, t, e []float64) ([]float64, Rejected, error) {
	return vector("DensitiesFromVapourPressure", dst, p, t, e, func(p, t, e float64) float64 {
		if !pressureOK(p) || !temperatureOK(t) || !(e >= 0 && e <= p/2) {
			return math.NaN()
		}
		return idealMixture(p, t, e)
	}, func(p, t, e float64) error {
		_, err := DensityFromVapourPressure(quantity.Pressure(p), quantity.Kelvin(t), quantity.Pressure(e))
		return err
	})
}

// DensitiesCIPM2007 is [Densities] with the formula and the range of
// [DensityCIPM2007].
//
// Errors are those of [Densities].
func DensitiesCIPM2007(dst, p, t, h []float64) ([]float64, Rejected, error) {
	return vector("DensitiesCIPM2007", dst, p, t, h, func(p, t, h float64) float64 {
		if !(p >= cipmMinPressure && p <= cipmMaxPressure && t >= cipmMinTemperature && t <= cipmMaxTemperature && humidityOK(h)) {
			return math.NaN()
		}
		return cipm2007(p, t, h, 0.0004)
	}, func(p, t, h float64) error {
		_, err := DensityCIPM2007(quantity.Pressure(p), quantity.Kelvin(t), quantity.RelativeHumidity(h))
		return err
	})
}

// vector applies f to each sample; why explains a NaN that f made.
func vector(function string, dst, a, t, b []float64, f func(a, t, b float64) float64, why func(a, t, b float64) error) ([]float64, Rejected, error) {
	rejected := Rejected{First: -1}
	if len(a) != len(t) && len(a) != 1 || len(b) != len(t) && len(b) != 1 || dst != nil && len(dst) != len(t) {
		return nil, rejected, fmt.Errorf("air.%s: %w: %d pressures, %d temperatures, %d humidities, room for %d results; pressures and humidities must be as many as temperatures, or one",
			function, ErrShape, len(a), len(t), len(b), len(dst))
	}
	if dst == nil {
		dst = make([]float64, len(t))
	}
	for i, ti := range t {
		ai, bi := at(a, i), at(b, i)
		r := f(ai, ti, bi)
		dst[i] = r
		if r == r {
			continue
		}
		if math.IsNaN(ai) || math.IsNaN(ti) || math.IsNaN(bi) {
			rejected.Missing++
			continue
		}
		if rejected.OutOfRange++; rejected.First < 0 {
			rejected.First, rejected.Reason = i, why(ai, ti, bi)
		}
	}
	return dst, rejected, nil
}

// DensitySeries returns the density over time of outside air that is heated
// to the temperatures of a series, such as an intake channel, at the pressure
// and vapour pressure of outside. Missing samples stay missing; a sample out
// of range becomes missing and is counted.
//
// It fails for a series that is no temperature and for outside air that can't be.
func DensitySeries(temperature *series.Series, outside State) (*series.Series, Rejected, error) {
	if temperature.Dimension != series.Temperature {
		return nil, Rejected{First: -1}, fmt.Errorf("air.DensitySeries: series %q is a %v, want a %v", temperature.Name, temperature.Dimension, series.Temperature)
	}
	if err := outside.Check(); err != nil {
		return nil, Rejected{First: -1}, fmt.Errorf("air.DensitySeries: %w", err)
	}
	v, rejected, err := DensitiesFromVapourPressure(nil, []float64{float64(outside.Pressure)}, temperature.Value, []float64{float64(outside.VapourPressure)})
	if err != nil {
		return nil, rejected, err
	}
	return temperature.With(temperature.Name+" density", series.Density, v), rejected, nil
}

// at returns x[i], or the only element that holds for all.
func at(x []float64, i int) float64 {
	if len(x) == 1 {
		return x[0]
	}
	return x[i]
}
