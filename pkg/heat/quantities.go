package heat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// level is that of all intervals.
const level = 0.95

var (
	kelvin  = quantity.KindTemperatureDifference.SI()
	seconds = quantity.KindDuration.SI()
	share   = quantity.Unit{}
)

// The estimates' names.
const (
	nameBefore        = "rise at the opening"
	nameAfter         = "rise in settled driving"
	nameRadiator      = "rise that the radiator adds"
	nameRest          = "rise that speed and warming up add"
	nameShare         = "radiator's share of coolant above ambient"
	nameMixing        = "mixing fraction of radiator air"
	nameEffectiveness = "radiator effectiveness"
	nameBay           = "bay time constant"
	nameSoak          = "heat soak in a stop"
	nameSoakTime      = "heat soak time constant"
	namePickUp        = "rise picked up on the way, in the drive's mean"
)

// subject is what an estimate is about: its name and whose it is, so that the
// scatter of two drives never counts as one.
type subject struct {
	drive, name string
	units       quantity.Preferred
}

func (a *Analysis) of(name string) subject { return subject{a.Drive, name, a.units} }

func (s subject) scatter(effect, degreesOfFreedom float64) estimate.Contribution {
	return estimate.Contribution{Source: s.source(estimate.Scatter), Effect: effect, DegreesOfFreedom: degreesOfFreedom}
}

func (s subject) source(kind estimate.SourceKind) estimate.Source {
	return estimate.Source{Kind: kind, ID: fmt.Sprintf("%s, drive %q", s.name, s.drive)}
}

// unknown is the estimate that the drive does not give.
func (s subject) unknown(unit quantity.Unit, reason string, arguments ...any) Estimate {
	return estimate.Unknown(s.name, unit, fmt.Sprintf(reason, arguments...))
}

// fitted turns one combination of a fit's coefficients into an estimate that
// rests on count blocks.
func (s subject) fitted(f regression.Fit, unit quantity.Unit, x []float64, count int) Estimate {
	v, u := f.At(x)
	low, high := f.Interval(x, level)
	e := estimate.Between(s.name, v, unit, estimate.Interval{Low: low, High: high, Level: level}, estimate.WithinDrive, f.DegreesOfFreedom)
	e.Count, e.Contributions = count, []estimate.Contribution{s.scatter(u, f.DegreesOfFreedom)}
	return e
}

// within is a value whose 95 % interval reaches half to either side; with
// degrees of freedom 0 the half-width is not from counted readings.
func (s subject) within(value, half float64, unit quantity.Unit, degreesOfFreedom float64, count int) Estimate {
	e := estimate.Between(s.name, value, unit, estimate.Interval{Low: value - half, High: value + half, Level: level}, estimate.WithinDrive, math.Inf(1))
	factor := normal
	if degreesOfFreedom > 0 {
		factor, e.DegreesOfFreedom = studentQuantile(degreesOfFreedom), degreesOfFreedom
	}
	e.Count, e.Contributions = count, []estimate.Contribution{s.scatter(half/factor, degreesOfFreedom)}
	return e
}

// normal is the 97.5 % point of the normal distribution.
var normal = distuv.UnitNormal.Quantile((1 + level) / 2)

func studentQuantile(degreesOfFreedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, degreesOfFreedom)}.Quantile((1 + level) / 2)
}
