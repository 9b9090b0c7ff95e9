package sensor

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Plunge is the first-order response of a probe that was moved at once from
// one temperature to another.
type Plunge struct {
	// TimeConstant in seconds is the time after which 63.2 % of the step are
	// reached. It holds for that medium and flow: in slow air a probe is ten
	// to a hundred times slower than in stirred water.
	TimeConstant float64
	// Interval is its 95 % interval.
	Interval estimate.Interval
	// Start is the moment of the plunge, on the series' clock.
	Start float64
	// From and Step are the temperature before and the step, in kelvin.
	From, Step float64
	// Drift is the change of the medium itself, in kelvin per second.
	Drift float64
	// Residual is the standard deviation about the fit, in kelvin.
	Residual float64
	Warnings []estimate.Warning
}

// Estimate returns the time constant in seconds as an estimate.
func (p Plunge) Estimate() estimate.Estimate {
	e := estimate.Between("time constant", p.TimeConstant, quantity.KindDuration.SI(), p.Interval, estimate.Likelihood, math.NaN())
	return e.Warn(p.Warnings...)
}

// String says the result in one line.
func (p Plunge) String() string { return p.In(quantity.Preferred{}) }

// In says the result in the given units.
func (p Plunge) In(units quantity.Preferred) string {
	s := fmt.Sprintf("time constant %.2f s (95 %%: %.2f to %.2f s), step %s at %.1f s", p.TimeConstant, p.Interval.Low, p.Interval.High, kelvins(units, "%+.1f", p.Step), p.Start)
	for _, w := range p.Warnings {
		s += "\n  check: " + w.Text
	}
	return s
}

// FitPlunge finds the time constant from a stretch that holds one plunge: a
// few seconds before it, and at least two time constants after.
//
//	T = T₀ for t < t₀;  T₀ + A·(1 − e^(−(t−t₀)/τ)) + m·(t−t₀) after
//
// by least squares; m allows for a cup that cools. The interval is where the
// likelihood of τ, maximised over the rest, stays within 95 %, with the
// residuals' autocorrelation counted. It is never narrower than a quarter of
// the sampling step. It fails for a series
// that is no temperature and for fewer than ten values; the error wraps
// ErrUndecided where there is no step.
func FitPlunge(s *series.Series, v series.Interval) (Plunge, error) {
	nan := Plunge{TimeConstant: math.NaN()}
	if s.Dimension != series.Temperature {
		return nan, fmt.Errorf("sensor.FitPlunge: %q is a %v, not a temperature", s.Name, s.Dimension)
	}
	var t, x []float64
	part := s.Slice(v)
	for i, k := range part.Value {
		if !math.IsNaN(k) {
			t, x = append(t, part.Time[i]), append(x, k)
		}
	}
	if len(x) < 10 {
		return nan, fmt.Errorf("sensor.FitPlunge: %q has %d values in %v, at least 10 are needed", s.Name, len(x), v)
	}
	step := (t[len(t)-1] - t[0]) / float64(len(t)-1)
	taus := logarithmic(step/10, (t[len(t)-1]-t[0])*2, 240)
	best := plungeFit{rss: math.Inf(1)}
	profile := make([]plungeFit, len(taus))
	for i, tau := range taus {
		profile[i] = bestStart(t, x, tau, step)
		if profile[i].rss < best.rss {
			best = profile[i]
		}
	}
	r := math.Max(0, series.Autocorrelation(best.residuals(t, x), 1))
	if math.IsNaN(r) {
		r = 0
	}
	n := float64(len(x))
	effective := math.Max(6, n*(1-r)/(1+r)) - 5
	sigma := math.Sqrt(best.rss / math.Max(1, n-5))
	if math.Abs(best.step) < 4*sigma || math.Abs(best.step) < 1 {
		return nan, fmt.Errorf("sensor.FitPlunge: %w: no step of at least %s that stands out of the scatter, %s, in %v", ErrUndecided, inBoth("%.3g", 1), inBoth("%.2f", sigma), v)
	}
	out := Plunge{TimeConstant: best.tau, Start: best.start, From: best.level, Step: best.step, Drift: best.drift, Residual: sigma}
	floor := math.Max(best.rss, 1e-12)
	out.Interval = estimate.Interval{Low: best.tau, High: best.tau, Level: 0.95}
	for _, p := range profile {
		if effective*math.Log(math.Max(p.rss, floor)/floor) <= 3.8415 { // χ² with one degree of freedom
			out.Interval.Low, out.Interval.High = math.Min(out.Interval.Low, p.tau), math.Max(out.Interval.High, p.tau)
		}
	}
	out.Interval.Low = math.Max(0, math.Min(out.Interval.Low, best.tau-step/4))
	out.Interval.High = math.Max(out.Interval.High, best.tau+step/4)
	out.Warnings = plungeWarnings(out, t, step)
	return out, nil
}

func plungeWarnings(p Plunge, t []float64, step float64) []estimate.Warning {
	var w []estimate.Warning
	warn := func(kind estimate.Kind, format string, args ...any) {
		w = append(w, estimate.Warning{Kind: kind, Subject: "plunge", Text: fmt.Sprintf(format, args...)})
	}
	if p.TimeConstant < step {
		warn(estimate.OutsideRange, "the probe is faster than the logger's step of %.2g s; take the time constant as an upper bound", step)
	}
	if after := t[len(t)-1] - p.Start; after < 2*p.TimeConstant {
		warn(estimate.FewData, "only %.1f time constants were recorded after the plunge; keep the probe in for longer", after/p.TimeConstant)
	}
	if p.Start-t[0] < 2*step {
		warn(estimate.FewData, "there is next to nothing before the plunge; the moment of the plunge is uncertain")
	}
	return w
}

// logarithmic returns n values from lo to hi at equal ratios.
func logarithmic(lo, hi float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = lo * math.Pow(hi/lo, float64(i)/float64(n-1))
	}
	return out
}

// plungeFit is the fit for one time constant and start.
type plungeFit struct {
	tau, start, level, step, drift, rss float64
}

func (p plungeFit) residuals(t, x []float64) []float64 {
	r := make([]float64, len(t))
	for i := range t {
		a, m := plungeBasis(t[i]-p.start, p.tau)
		r[i] = x[i] - p.level - p.step*a - p.drift*m
	}
	return r
}

func plungeBasis(u, tau float64) (answer, ramp float64) {
	if u <= 0 {
		return 0, 0
	}
	return 1 - math.Exp(-u/tau), u
}

// bestStart searches the moment of the plunge: every sample first, then
// between samples.
func bestStart(t, x []float64, tau, step float64) plungeFit {
	best := plungeFit{rss: math.Inf(1)}
	stride := max(1, len(t)/150)
	try := func(start float64) {
		if p := fitPlunge(t, x, tau, start); p.rss < best.rss {
			best = p
		}
	}
	for i := 1; i < len(t)-3; i += stride {
		try(t[i])
	}
	for width := step * float64(stride); width > step/50; width /= 2 {
		centre := best.start
		try(centre - width/2)
		try(centre + width/2)
	}
	return best
}

// fitPlunge solves the three linear parameters by normal equations.
func fitPlunge(t, x []float64, tau, start float64) plungeFit {
	var a [3][4]float64
	base, syy := x[0], 0.0
	for i := range t {
		answer, ramp := plungeBasis(t[i]-start, tau)
		row := [4]float64{1, answer, ramp, x[i] - base}
		for p := range 3 {
			for q := p; q < 4; q++ {
				a[p][q] += row[p] * row[q]
			}
		}
		syy += row[3] * row[3]
	}
	for k := range 3 {
		if !(a[k][k] > 1e-9) {
			return plungeFit{rss: math.Inf(1)}
		}
		for r := k + 1; r < 3; r++ {
			m := a[k][r] / a[k][k]
			for q := r; q < 4; q++ {
				a[r][q] -= m * a[k][q]
			}
		}
		syy -= a[k][3] * a[k][3] / a[k][k]
	}
	drift := a[2][3] / a[2][2]
	size := (a[1][3] - a[1][2]*drift) / a[1][1]
	level := (a[0][3] - a[0][1]*size - a[0][2]*drift) / a[0][0]
	return plungeFit{tau, start, base + level, size, drift, math.Max(syy, 0)}
}
