package uncertainty

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// Curved is the kind of warning about a function that is not nearly straight
// within the uncertainties of its inputs.
const Curved estimate.Kind = "curved function"

// Input is one line of a budget before evaluation.
type Input struct {
	Name  string
	Unit  string // as shown; not interpreted
	Value Value
	// Shape is used by MonteCarlo only.
	Shape Shape
	// Sensitivity is ∂y/∂x if it is known; NaN or HasSensitivity false takes
	// the numerical derivative.
	Sensitivity    float64
	HasSensitivity bool
}

// Line is one input's part in a budget.
type Line struct {
	Input
	// C is the sensitivity coefficient.
	C float64
	// Contribution is |C|·u, in the unit of the result.
	Contribution float64
	// Share is the part of the combined variance, 1 in total for uncorrelated
	// inputs.
	Share float64
}

// Budget says where the uncertainty of a result comes from.
type Budget struct {
	Result Value
	Unit   string
	Lines  []Line
	// Correlated is the variance that correlations add, negative if they
	// remove some.
	Correlated float64
	Warnings   []estimate.Warning
}

// NewBudget evaluates f at the inputs and returns its uncertainty budget.
//
//	u²(y) = Σ_i Σ_j c_i·c_j·u(x_i)·u(x_j)·r(x_i, x_j)
//
// Source: equations (13) and (16); effective degrees of freedom (G.2b), which
// is made for uncorrelated inputs; with correlated ones the budget warns.
//
// It fails for inputs that are not finite, correlations that can't be, and a
// function that is not finite at the estimates.
func NewBudget(f func(x []float64) float64, inputs []Input, r Correlation) (Budget, error) {
	b := Budget{Result: Value{X: math.NaN(), U: math.NaN()}}
	if err := r.check(len(inputs)); err != nil {
		return b, err
	}
	values := make([]Value, len(inputs))
	for i, in := range inputs {
		if err := in.Value.check(in.Name); err != nil {
			return b, err
		}
		values[i] = in.Value
	}
	c, y, err := sensitivities(f, values)
	if err != nil {
		return b, err
	}
	variance := 0.0
	for i, in := range inputs {
		if in.HasSensitivity && !math.IsNaN(in.Sensitivity) {
			c[i] = in.Sensitivity
		}
		part := c[i] * in.Value.U
		variance += part * part
		b.Lines = append(b.Lines, Line{Input: in, C: c[i], Contribution: math.Abs(part)})
	}
	for p, x := range r {
		b.Correlated += 2 * x * c[p.I] * c[p.J] * values[p.I].U * values[p.J].U
	}
	u := math.Sqrt(math.Max(0, variance+b.Correlated))
	for i := range b.Lines {
		if u > 0 {
			b.Lines[i].Share = b.Lines[i].Contribution * b.Lines[i].Contribution / (u * u)
		}
	}
	b.Result = Value{X: y, U: u, DegreesOfFreedom: welchSatterthwaite(c, values, u)}
	if b.Correlated != 0 && b.Result.DegreesOfFreedom > 0 {
		b.Warnings = append(b.Warnings, estimate.Warning{Kind: estimate.Correlated, Text: "degrees of freedom by Welch and Satterthwaite although inputs are correlated: take the coverage factor as a guide"})
	}
	if curvature := b.curvature(f, values, y); curvature > 0.3*u && u > 0 {
		b.Warnings = append(b.Warnings, estimate.Warning{Kind: Curved, Text: "the function bends noticeably within the uncertainties: check with MonteCarlo"})
	}
	return b, nil
}

// curvature returns how far the function's mean over ±u of each input lies
// from its value at the estimates.
func (b *Budget) curvature(f func([]float64) float64, values []Value, y float64) float64 {
	x := make([]float64, len(values))
	for i, v := range values {
		x[i] = v.X
	}
	sum := 0.0
	for i, v := range values {
		if v.U == 0 {
			continue
		}
		x[i] = v.X + v.U
		up := f(x)
		x[i] = v.X - v.U
		sum += math.Abs((up+f(x))/2 - y)
		x[i] = v.X
	}
	return sum
}

// String returns the budget as a table in text.
func (b Budget) String() string {
	var s strings.Builder
	for _, l := range b.Lines {
		fmt.Fprintf(&s, "%-28s %12.6g ± %-10.3g %-6s c %-12.4g part %-10.3g %4.0f %%\n",
			l.Name, l.Value.X, l.Value.U, l.Unit, l.C, l.Contribution, 100*l.Share)
	}
	fmt.Fprintf(&s, "result %v %s", b.Result, b.Unit)
	if n := b.Result.DegreesOfFreedom; n > 0 {
		fmt.Fprintf(&s, ", %.3g effective degrees of freedom", n)
	}
	fmt.Fprintf(&s, ", k(95 %%) %.2f\n", b.Result.CoverageFactor(0.95))
	for _, w := range b.Warnings {
		fmt.Fprintf(&s, "- %s\n", w)
	}
	return s.String()
}
