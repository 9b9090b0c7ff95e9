package contrast

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Observation is what one drive says.
type Observation struct {
	Name  string
	After bool // of the second group
	Value float64
	// Uncertainty is the drive's own standard uncertainty, in the unit of
	// Value, ≥ 0; what all drives share does not belong here.
	Uncertainty float64
	// Covariates are the drive's conditions, in the order of
	// [Model.Covariates].
	Covariates []float64
}

// Covariate is a condition that differs between drives. The prior of its
// coefficient is normal.
type Covariate struct {
	Name string
	// Mean and Deviation of the coefficient, in the unit of the value per unit
	// of the condition. Deviation 0 fixes the coefficient.
	Mean, Deviation float64
}

// Scatter is the prior of the standard deviation between drives: the absolute
// value of a t variable times Scale, or, with a LogDeviation, lognormal.
type Scatter struct {
	Scale            float64 // > 0, unit of the value; the median of the lognormal
	DegreesOfFreedom float64 // > 0; +Inf is the half-normal
	// LogDeviation is the standard deviation of ln τ about ln Scale; 0 takes
	// the half-t.
	LogDeviation float64
}

// logDensity returns the logarithm of the density of ln τ, up to a constant.
func (s Scatter) logDensity() func(logTau float64) float64 {
	if s.LogDeviation > 0 {
		return distuv.Normal{Mu: math.Log(s.Scale), Sigma: s.LogDeviation}.LogProb
	}
	density := distuv.StudentsT{Sigma: s.Scale, Nu: s.DegreesOfFreedom}.LogProb
	if math.IsInf(s.DegreesOfFreedom, 1) {
		density = distuv.Normal{Sigma: s.Scale}.LogProb
	}
	return func(x float64) float64 { return density(math.Exp(x)) + x }
}

func (s Scatter) check() error {
	if !(s.Scale > 0) || math.IsInf(s.Scale, 0) {
		return fmt.Errorf("contrast: the prior of the scatter has the scale %g; it must be above 0", s.Scale)
	}
	if !(s.LogDeviation >= 0) || math.IsInf(s.LogDeviation, 0) || s.LogDeviation == 0 && !(s.DegreesOfFreedom > 0) {
		return fmt.Errorf("contrast: the prior of the scatter has %g degrees of freedom and a deviation of %g of its logarithm; one must be above 0", s.DegreesOfFreedom, s.LogDeviation)
	}
	return nil
}

// Model says what is taken for granted.
type Model struct {
	Scatter Scatter
	// LogRatio is the standard deviation of ln(after's scatter / before's),
	// ≥ 0; 0 takes both sides to scatter alike.
	LogRatio float64
	// Offset is the standard deviation of what the second group has on top
	// that is not the change asked for, such as a probe refitted; ≥ 0.
	Offset     float64
	Covariates []Covariate
}

// ErrTooFew is returned where a group has no drive.
var ErrTooFew = errors.New("contrast: each group needs at least one drive")

func (m Model) check(obs []Observation) error {
	if err := m.Scatter.check(); err != nil {
		return err
	}
	if !(m.LogRatio >= 0) || !(m.Offset >= 0) || math.IsInf(m.LogRatio+m.Offset, 0) {
		return fmt.Errorf("contrast: standard deviations of the ratio (%g) and of the offset (%g) must be finite and not below 0", m.LogRatio, m.Offset)
	}
	for _, c := range m.Covariates {
		if !(c.Deviation >= 0) || math.IsInf(c.Deviation, 0) || math.IsNaN(c.Mean) {
			return fmt.Errorf("contrast: prior of the coefficient of %s is %g ± %g", c.Name, c.Mean, c.Deviation)
		}
	}
	sides := [2]int{}
	for _, o := range obs {
		if err := m.checkDrive(o); err != nil {
			return err
		}
		sides[o.side()]++
	}
	if sides[0] == 0 || sides[1] == 0 {
		return ErrTooFew
	}
	return nil
}

func (m Model) checkDrive(o Observation) error {
	if math.IsNaN(o.Value) || math.IsInf(o.Value, 0) || !(o.Uncertainty >= 0) || math.IsInf(o.Uncertainty, 0) {
		return fmt.Errorf("contrast: drive %q has the value %g ± %g; leave it out or repair it", o.Name, o.Value, o.Uncertainty)
	}
	if len(o.Covariates) != len(m.Covariates) {
		return fmt.Errorf("contrast: drive %q has %d conditions, the model %d", o.Name, len(o.Covariates), len(m.Covariates))
	}
	for i, x := range o.Covariates {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("contrast: drive %q: %s is %g", o.Name, m.Covariates[i].Name, x)
		}
	}
	return nil
}

func (o Observation) side() int {
	if o.After {
		return 1
	}
	return 0
}
