package uncertainty

import (
	"fmt"
	"math"
)

// Propagate returns f of the inputs with its standard uncertainty for
// uncorrelated inputs.
//
//	u²(y) = Σ [c_i·u(x_i)]² + terms of second order, c_i = [f(x_i + u) − f(x_i − u)]/(2u)
//
// f is called with one number for each input, in their order; it must be
// finite within one standard uncertainty of the estimates. The terms of second
// order are those of normal inputs; next to nothing for a nearly straight f.
// The degrees of freedom of the result are by Welch and Satterthwaite, eq.
// (G.2b).
//
// Source: equations (10) and (13), the numerical derivative of 5.1.3, note 2;
// second order by the note of 5.1.2.
//
// Otherwise the error wraps [ErrInput] and names the input.
func Propagate(f func(x []float64) float64, inputs ...Value) (Value, error) {
	nan := Value{X: math.NaN(), U: math.NaN()}
	c, y, err := sensitivities(f, inputs)
	if err != nil {
		return nan, err
	}
	variance := 0.0
	for i, v := range inputs {
		variance += c[i] * c[i] * v.U * v.U
	}
	second, err := secondOrder(f, inputs, nil, y)
	if err != nil {
		return nan, err
	}
	u := math.Sqrt(math.Max(0, variance+second))
	degrees, _ := degreesOfFreedom(c, inputs, nil)
	return Value{X: y, U: u, DegreesOfFreedom: degrees}, nil
}

// sensitivities returns the derivatives of f at the estimates and f there.
func sensitivities(f func([]float64) float64, inputs []Value) (c []float64, y float64, err error) {
	x := make([]float64, len(inputs))
	for i, v := range inputs {
		if err := v.check(fmt.Sprintf("input %d", i)); err != nil {
			return nil, math.NaN(), err
		}
		x[i] = v.X
	}
	if y = f(x); math.IsNaN(y) || math.IsInf(y, 0) {
		return nil, math.NaN(), fmt.Errorf("uncertainty: the function is %v at the estimates %v: %w", y, x, ErrInput)
	}
	c = make([]float64, len(inputs))
	for i, v := range inputs {
		step := v.U
		if step == 0 {
			step = 1e-6 * math.Max(math.Abs(v.X), 1e-6)
		}
		x[i] = v.X + step
		up := f(x)
		x[i] = v.X - step
		down := f(x)
		x[i] = v.X
		if c[i] = (up - down) / (2 * step); math.IsNaN(c[i]) || math.IsInf(c[i], 0) {
			if v.U == 0 {
				c[i] = 0 // an exact input at the edge of the function's domain contributes nothing
				continue
			}
			return nil, math.NaN(), fmt.Errorf("uncertainty: the function is not finite within one standard uncertainty of input %d, %v ± %v: %w; use MonteCarlo or a smaller uncertainty", i, v.X, v.U, ErrInput)
		}
	}
	return c, y, nil
}

// PropagateMany returns each output of f with its standard uncertainty and the
// outputs' correlation coefficients, which must not be forgotten when two
// outputs are used together. r is the inputs' correlation, nil for none. Inputs
// that r names were observed together: outputs keep their degrees of freedom.
//
// Source: equation (13) and H.2.3, equation (H.9); second order as in
// [Propagate].
//
// Errors are those of [Propagate].
func PropagateMany(f func(x []float64) []float64, inputs []Value, r Correlation) ([]Value, Correlation, error) {
	if err := r.check(len(inputs)); err != nil {
		return nil, nil, err
	}
	x := make([]float64, len(inputs))
	for i, v := range inputs {
		x[i] = v.X
	}
	n := len(f(x))
	c := make([][]float64, n)
	values := make([]Value, n)
	second := make([]float64, n)
	for k := range n {
		one := func(x []float64) float64 {
			if out := f(x); k < len(out) {
				return out[k]
			}
			return math.NaN()
		}
		ck, y, err := sensitivities(one, inputs)
		if err == nil {
			second[k], err = secondOrder(one, inputs, r, y)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("output %d: %w", k, err)
		}
		c[k], values[k] = ck, Value{X: y}
	}
	covariance := func(a, b int) float64 {
		sum := 0.0
		for i, vi := range inputs {
			for j, vj := range inputs {
				sum += c[a][i] * c[b][j] * vi.U * vj.U * r.At(i, j)
			}
		}
		return sum
	}
	for k := range n {
		values[k].U = math.Sqrt(math.Max(0, covariance(k, k)+second[k]))
		values[k].DegreesOfFreedom, _ = degreesOfFreedom(c[k], inputs, r)
	}
	out := Correlation{}
	for a := range n {
		for b := a + 1; b < n; b++ {
			if d := values[a].U * values[b].U; d > 0 {
				out[Pair{a, b}] = math.Max(-1, math.Min(1, covariance(a, b)/d))
			}
		}
	}
	return values, out, nil
}
