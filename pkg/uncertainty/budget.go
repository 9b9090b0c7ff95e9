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
	// Share is the part of the variance of first order, with half of what each
	// correlation adds or removes: all shares add up to 1, and the share of an
	// input that takes uncertainty away is below 0. NaN where that variance is 0.
	Share float64
}

// Budget says where the uncertainty of a result comes from.
type Budget struct {
	Result Value
	Unit   string
	Lines  []Line
	// FirstOrder is the combined standard uncertainty that a straight function
	// would have, by equations (13) and (16).
	FirstOrder float64
	// Correlated is the variance that correlations add to it, negative if they
	// remove some.
	Correlated float64
	// Bent is the variance that the function's bends add, which is in Result.
	Bent     float64
	Warnings []estimate.Warning
}

// NewBudget evaluates f at the inputs and returns its uncertainty budget.
//
//	u²(y) = Σ_i Σ_j c_i·c_j·u(x_i)·u(x_j)·r(x_i, x_j) + terms of second order
//
// Source: equations (13) and (16); second order by the note of 5.1.2;
// effective degrees of freedom (G.2b), where correlated inputs count as one.
// Where these have different degrees of freedom, the least counts and the
// budget warns.
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
	first := math.Max(0, variance+b.Correlated)
	b.FirstOrder = math.Sqrt(first)
	for i := range b.Lines {
		part := 0.0
		for j := range inputs {
			part += c[i] * c[j] * values[i].U * values[j].U * r.At(i, j)
		}
		b.Lines[i].Share = part / first // 0/0 is NaN
	}
	if b.Bent, err = secondOrder(f, values, r, y); err != nil {
		return b, err
	}
	u := math.Sqrt(math.Max(0, first+b.Bent))
	degrees, mixed := degreesOfFreedom(c, values, r)
	b.Result = Value{X: y, U: u, DegreesOfFreedom: degrees}
	if mixed {
		b.Warnings = append(b.Warnings, estimate.Warning{Kind: estimate.Correlated, Text: "correlated inputs have different degrees of freedom; the least of them was taken"})
	}
	if math.Abs(b.Bent) > bends*u*u || b.shift(f, values, y) > 0.3*u {
		b.Warnings = append(b.Warnings, estimate.Warning{Kind: Curved, Text: fmt.Sprintf("the function bends within the uncertainties: a straight one would have u = %.3g; the distribution may not be normal, check with MonteCarlo", b.FirstOrder)})
	}
	return b, nil
}

// bends is the share of the variance from which on terms of second order are
// worth a word: 2 % of u.
const bends = 0.04

// shift returns how far the function's mean over ±u of each input lies from
// its value at the estimates.
func (b *Budget) shift(f func([]float64) float64, values []Value, y float64) float64 {
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
		share := "   -"
		if !math.IsNaN(l.Share) {
			share = fmt.Sprintf("%4.0f %%", 100*l.Share)
		}
		fmt.Fprintf(&s, "%-28s %12.6g ± %-10.3g %-6s c %-12.4g part %-10.3g %s\n",
			l.Name, l.Value.X, l.Value.U, l.Unit, l.C, l.Contribution, share)
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
