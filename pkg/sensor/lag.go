package sensor

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// ErrNoise is wrapped where a lag correction is refused because it would only
// amplify noise.
var ErrNoise = errors.New("the correction would only amplify noise")

// LagOptions are the settings of [CorrectLag]. Start from DefaultLagOptions; a
// field that is zero takes its default.
type LagOptions struct {
	// Width of the smoothing in seconds; 0 means the time constant, but at
	// least three samples.
	Width float64
	// MaxRatio is the largest time constant in sampling steps; 0 means 5.
	MaxRatio float64
	// MaxGap is the longest gap in seconds that smoothing bridges; 0 means 10.
	MaxGap float64
}

// DefaultLagOptions returns a smoothing over the time constant, at most five
// sampling steps of it, and gaps of up to 10 s.
func DefaultLagOptions() LagOptions { return LagOptions{MaxRatio: 5, MaxGap: 10} }

// LagCorrection says what a correction did.
type LagCorrection struct {
	TimeConstant float64 // s
	Width        float64 // s, of the smoothing
	// NoiseGain is the standard deviation of the corrected values' noise over
	// that of the readings, for independent noise.
	NoiseGain float64
	// Largest is the largest correction in kelvin.
	Largest float64
}

// String says it in one line, for the list of repairs.
func (c LagCorrection) String() string { return c.In(quantity.Preferred{}) }

// In says it in the given units.
func (c LagCorrection) In(units quantity.Preferred) string {
	return fmt.Sprintf("first-order lag of %.1f s corrected, smoothed over %.1f s, noise × %.1f, up to %s", c.TimeConstant, c.Width, c.NoiseGain, kelvins(units, "%.1f", c.Largest))
}

// CorrectLag returns the temperature that a probe with the time constant tau
// in seconds was exposed to:
//
//	T = T_m + τ·dT_m/dt
//
// with T_m and its derivative from a straight line fitted over the width. It
// refuses, with an error that wraps ErrNoise, where tau exceeds five sampling
// steps (with a three-point derivative the noise is then amplified 3.5 times)
// or where the corrections do not stand out of the noise that they carry. What
// is faster than the width is lost either way.
//
// The lag depends on the air's speed: at idle it is three to five times that
// on the road. One time constant corrects one regime.
func CorrectLag(s *series.Series, tau float64, opts LagOptions) (*series.Series, LagCorrection, error) {
	step := s.Step()
	if s.Dimension != series.Temperature {
		return nil, LagCorrection{}, fmt.Errorf("sensor.CorrectLag: %q is a %v, not a temperature", s.Name, s.Dimension)
	}
	if !(tau > 0 && tau < 3600) || math.IsNaN(step) {
		return nil, LagCorrection{}, quantity.OutOfRange("sensor.CorrectLag", fmt.Sprintf("for a step of %g s, time constant", step), tau, 0, 3600,
			quantity.KindDuration.SI(), "the series needs two samples at least")
	}
	if err := s.Check(); err != nil {
		return nil, LagCorrection{}, fmt.Errorf("sensor.CorrectLag: %w", err)
	}
	for _, o := range []struct {
		what string
		x    float64
	}{{"width of the smoothing", opts.Width}, {"largest ratio", opts.MaxRatio}, {"longest gap", opts.MaxGap}} {
		if !(o.x >= 0 && o.x <= 3600) {
			return nil, LagCorrection{}, quantity.OutOfRange("sensor.CorrectLag", o.what, o.x, 0, 3600, quantity.Unit{}, "zero takes the usual one")
		}
	}
	if opts.MaxRatio == 0 {
		opts.MaxRatio = 5
	}
	if opts.MaxGap == 0 {
		opts.MaxGap = 10
	}
	if opts.Width == 0 {
		opts.Width = math.Max(tau, 2*step)
	}
	out := LagCorrection{TimeConstant: tau, Width: opts.Width, NoiseGain: NoiseGain(tau, step, opts.Width)}
	if tau/step > opts.MaxRatio {
		return nil, out, fmt.Errorf("%w: the time constant of %.1f s is %.1f sampling steps, more than %.0f; use the readings as they are and keep to stretches longer than three time constants", ErrNoise, tau, tau/step, opts.MaxRatio)
	}
	smooth, slope := s.Smooth(opts.Width, opts.MaxGap), s.Slope(opts.Width, opts.MaxGap)
	v := make([]float64, s.Len())
	var size float64
	n := 0
	for i := range v {
		c := tau * slope.Value[i]
		v[i] = smooth.Value[i] + c
		if !math.IsNaN(c) {
			size += c * c
			n++
			out.Largest = math.Max(out.Largest, math.Abs(c))
		}
	}
	if rms, noise := math.Sqrt(size/float64(n)), noiseOf(s)*out.NoiseGain; n == 0 || rms < 2*noise {
		return nil, out, fmt.Errorf("%w: the corrections have a size of %s, and the noise that they would carry is %s", ErrNoise, inBoth("%.2f", rms), inBoth("%.2f", noise))
	}
	return s.With(s.Name+", lag corrected", s.Dimension, v), out, nil
}

// NoiseGain returns by how much the correction of a time constant tau
// multiplies independent noise, at a sampling step and a smoothing width, all
// in seconds. For a straight line over n = width/step + 1 samples:
//
//	g² = 1/n + τ²·12/(n·(n²−1)·step²)
//
// Three samples give about τ/(√2·step).
func NoiseGain(tau, step, width float64) float64 {
	n := math.Max(3, 2*math.Floor(width/2/step)+1)
	return math.Sqrt(1/n + tau*tau*12/(n*(n*n-1)*step*step))
}

// noiseOf estimates the standard deviation of a series' noise from its second
// differences, robustly; a quantised series has at least that of its rounding.
func noiseOf(s *series.Series) float64 {
	var d, x []float64
	for i := 2; i < s.Len(); i++ {
		if e := s.Value[i] - 2*s.Value[i-1] + s.Value[i-2]; !math.IsNaN(e) {
			d, x = append(d, math.Abs(e)), append(x, s.Value[i])
		}
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return math.Max(1.4826*d[len(d)/2]/math.Sqrt(6), resolution(x)/math.Sqrt(12))
}
