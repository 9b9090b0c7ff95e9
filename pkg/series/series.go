// Package series holds one measured channel over time and what can be done
// with it without knowing what it means: gaps, slices, resampling, smoothing,
// derivative.
//
// Times are seconds after a common start, ascending; values are in the SI
// unit of the channel's dimension; a missing value is NaN and stays in place.
// No function changes the caller's slices, and none bridges a gap longer than
// the caller allows.
package series

import (
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Dimension says what a series measures and so the SI unit of its values: it
// is the kind of quantity.
type Dimension = quantity.Kind

// The dimensions of channels, with their units. A temperature and a difference
// of temperatures are different dimensions although both count kelvin.
const (
	Dimensionless         = quantity.KindNumber                // 1
	Temperature           = quantity.KindTemperature           // K
	TemperatureDifference = quantity.KindTemperatureDifference // K
	Speed                 = quantity.KindSpeed                 // m/s
	Acceleration          = quantity.KindAcceleration          // m/s²
	Length                = quantity.KindLength                // m
	Angle                 = quantity.KindAngle                 // rad
	Pressure              = quantity.KindPressure              // Pa
	RelativeHumidity      = quantity.KindRelativeHumidity      // fraction, 0 to 1
	RotationalSpeed       = quantity.KindRotationalSpeed       // 1/s
	Density               = quantity.KindDensity               // kg/m³
	Voltage               = quantity.KindVoltage               // V
	Power                 = quantity.KindPower                 // W
)

// ErrShape is wrapped by errors about times and values that do not fit
// together.
var ErrShape = errors.New("times and values do not form a series")

// Series is one channel over time.
type Series struct {
	// Name is what a person calls the channel.
	Name string
	// Dimension gives the SI unit of Value.
	Dimension Dimension
	// Start is the instant that Time counts from. It may be zero where no
	// date is known.
	Start time.Time
	// Time holds seconds after Start, strictly ascending.
	Time []float64
	// Value holds one value for each time; NaN where none was measured.
	Value []float64
}

// New returns a series over the given slices, which it keeps and never
// changes. It fails, wrapping [ErrShape], unless the times are finite, strictly
// ascending, and as many as the values.
func New(name string, dim Dimension, start time.Time, t, v []float64) (*Series, error) {
	s := &Series{Name: name, Dimension: dim, Start: start, Time: t, Value: v}
	if err := s.Check(); err != nil {
		return nil, err
	}
	return s, nil
}

// Check returns nil for a series as [New] makes it. Otherwise, for one that was put
// together by hand, the error wraps [ErrShape] and names the sample.
func (s *Series) Check() error {
	if len(s.Time) != len(s.Value) {
		return fmt.Errorf("series %q: %w: %d times but %d values", s.Name, ErrShape, len(s.Time), len(s.Value))
	}
	for i, x := range s.Time {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("series %q: %w: time %d is %v", s.Name, ErrShape, i, x)
		}
		if i > 0 && x <= s.Time[i-1] {
			return fmt.Errorf("series %q: %w: time %d (%v s) is not after the one before (%v s)", s.Name, ErrShape, i, x, s.Time[i-1])
		}
	}
	return nil
}

// Len returns the number of samples, missing ones included.
func (s *Series) Len() int { return len(s.Time) }

// Present returns the number of samples that have a value.
func (s *Series) Present() int {
	n := 0
	for _, v := range s.Value {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n
}

// Interval returns the span from the first to just after the last sample;
// empty for an empty series.
func (s *Series) Interval() Interval {
	if len(s.Time) == 0 {
		return Interval{}
	}
	last := s.Time[len(s.Time)-1]
	return Interval{s.Time[0], math.Nextafter(last, math.Inf(1))}
}

// Step returns the median time between neighbouring samples in seconds, or
// NaN for fewer than two samples.
func (s *Series) Step() float64 {
	if len(s.Time) < 2 {
		return math.NaN()
	}
	d := make([]float64, len(s.Time)-1)
	for i := range d {
		d[i] = s.Time[i+1] - s.Time[i]
	}
	return medianInPlace(d)
}

// misuse is a programmer's mistake. In a notebook the cell fails with its text
// alone: StopsCell tells the kernel.
type misuse string

func (m misuse) Error() string { return string(m) }

func (misuse) StopsCell() {}

// With returns a copy of s that has other values at the same times. It panics
// if the number differs, a programmer's mistake.
func (s *Series) With(name string, dim Dimension, v []float64) *Series {
	if len(v) != len(s.Time) {
		panic(misuse(fmt.Sprintf("series.With: %d values for %d times", len(v), len(s.Time))))
	}
	return &Series{Name: name, Dimension: dim, Start: s.Start, Time: s.Time, Value: v}
}

// Shift returns s with dt seconds added to every time.
func (s *Series) Shift(dt float64) *Series {
	t := make([]float64, len(s.Time))
	for i, x := range s.Time {
		t[i] = x + dt
	}
	return &Series{Name: s.Name, Dimension: s.Dimension, Start: s.Start, Time: t, Value: s.Value}
}

// Since returns s with its times counted from another start: the instants
// stay the same.
func (s *Series) Since(start time.Time) *Series {
	r := s.Shift(s.Start.Sub(start).Seconds())
	r.Start = start
	return r
}

// At returns the absolute instant of sample i.
func (s *Series) At(i int) time.Time {
	return s.Start.Add(time.Duration(math.Round(s.Time[i] * 1e9)))
}

// String describes s in one line.
func (s *Series) String() string {
	return fmt.Sprintf("%s (%s): %d samples, %d present, %.0f s", s.Name, s.Dimension, s.Len(), s.Present(), s.Interval().Duration())
}
