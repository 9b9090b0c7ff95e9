package thermostat

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/draught"
)

// Bay and intake air step up when the radiator begins to heat the bay: later
// and softer than the coolant, and mixed with what speed does to the bay.

// judgeAir looks for the step. ambient and speed have one value for each bin,
// or are nil.
func judgeAir(tr *trace, ambient, speed []float64, rules Rules) verdict {
	v := verdict{fullyOpen: math.NaN()}
	run := tr.runs[0]
	for _, r := range tr.runs {
		if r[1]-r[0] > run[1]-run[0] {
			run = r
		}
	}
	if tr.t[run[1]-1]-tr.t[run[0]] < 300 {
		v.reason = "too short a record for a step in air temperature"
		return v
	}
	every := max(1, int(15/tr.step)) // thin out: neighbours say the same
	var t, y []float64
	columns := draught.Columns(tr.t[run[0]:run[1]], within(speed, run))
	thin := make([][]float64, len(columns))
	for i := run[0]; i < run[1]; i += every {
		t = append(t, tr.t[i])
		rise := tr.y[i]
		if ambient != nil {
			rise -= ambient[i]
		}
		y = append(y, rise)
		for j, c := range columns {
			thin[j] = append(thin[j], c[i-run[0]])
		}
	}
	// Only the first opening counts: what comes later has soak and stops in it.
	most := min(len(t), 240)
	t, y = t[:most], y[:most]
	for j := range thin {
		thin[j] = thin[j][:most]
	}
	var shapes []changepoint.Shape
	for _, tau := range []float64{20, 40, 80, 160} {
		shapes = append(shapes, changepoint.Relaxation(tau))
	}
	p, err := changepoint.Onset(t, y, changepoint.OnsetRules{Direction: 1, Shapes: shapes,
		From: t[0] + 120, To: t[len(t)-1] - 90, Covariates: thin, Quantization: tr.quantum})
	if err != nil {
		v.reason = "no usable stretch of air temperature"
		return v
	}
	const filling = 13 // s, radiator and bay fill before the air warms; calibrated on simulated drives
	e := &Evidence{Role: tr.role, Model: Step,
		Onset:       onset(p.Quantile(0.5), series.Interval{From: p.Quantile(0.025) - filling, To: p.Quantile(0.975) + tr.step}),
		LogEvidence: p.LogEvidence}
	fit := make([]float64, len(p.Fit))
	for i := range fit {
		fit[i] = p.Fit[i]
		if ambient != nil {
			fit[i] += ambient[run[0]+i*every]
		}
	}
	e.Fit = &series.Series{Name: "fit to " + string(tr.role), Dimension: series.Temperature, Time: t, Value: fit}
	e.Says = fmt.Sprintf("steps up by %s at about %.0f s (evidence %.0f)", tr.kelvins("%.1f", p.Amplitude), e.Onset.Value, p.LogEvidence)
	if why := doubtStep(tr, p, y, run, speed, rules); why != "" {
		v.rejected = append(v.rejected, Candidate{tr.role, e.Onset.Value, why})
		v.reason = fmt.Sprintf("the %s shows no step that only an opening explains: %s", tr.role, why)
		return v
	}
	v.outcome, v.evidence = Opened, e
	v.firm = p.LogEvidence >= rules.StepEvidence
	v.reason = fmt.Sprintf("the %s %s", tr.role, e.Says)
	return v
}

// doubtStep returns why the step may be no opening, empty if it is one.
func doubtStep(tr *trace, p changepoint.Posterior, rise []float64, run [2]int, speed []float64, rules Rules) string {
	onset := p.Quantile(0.5)
	width := p.Quantile(0.975) - p.Quantile(0.025)
	switch {
	case p.Amplitude < rules.MinimumStep.Kelvins():
		return fmt.Sprintf("a step of %s only", tr.kelvins("%.1f", p.Amplitude))
	case p.Amplitude > 45:
		return fmt.Sprintf("a step of %s: more than a radiator gives the air; heat soak at a stop", tr.kelvins("%.0f", p.Amplitude))
	case p.LogEvidence < 5 || width > 120:
		return fmt.Sprintf("evidence of %.1f, within %.0f s: too vague", p.LogEvidence, width)
	case onset < tr.t[run[0]]+150:
		return "too soon after the record begins"
	case rise[0] > rules.MinimumStep.Kelvins()*2 && rise[0] < 100:
		return fmt.Sprintf("%s above ambient from the start: the bay was warm already", tr.kelvins("%.0f", rise[0]))
	}
	if speed == nil {
		return ""
	}
	i := tr.index(onset)
	w := int(60 / tr.step)
	before, after := meanOf(speed, max(run[0], i-w), i), meanOf(speed, i, min(run[1], i+w))
	if math.Abs(after-before) > 4 {
		return fmt.Sprintf("the speed changed from %s to %s with it", tr.speed(before), tr.speed(after))
	}
	return ""
}

// within are the values of a run; nil where there are none.
func within(x []float64, run [2]int) []float64 {
	if x == nil {
		return nil
	}
	return x[run[0]:run[1]]
}
