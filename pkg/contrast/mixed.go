package contrast

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// MixedFit is a linear model of rows that come in groups, such as the kinds of
// driving of each drive.
type MixedFit struct {
	// Coefficients has one entry for each column, with the standard error and
	// the degrees of freedom of Kenward and Roger.
	Coefficients []T
	// Between and Within are the standard deviations of the groups' own part
	// and of the rows, ≥ 0.
	Between, Within float64
}

// Mixed fits y = Xβ + group + e by restricted likelihood, for comparison with
// [Fit]: it takes nothing for granted of the scatter, and few groups get wide
// intervals. columns holds X column by column, group a number for each row. It
// fails where lengths differ, a number is not finite, or columns can't be told
// apart by these rows.
//
// Source: M. G. Kenward, J. H. Roger, Biometrics 53 (1997) 983–997; for one
// coefficient their scaled F statistic is t² with the degrees of freedom
// 2·φ²/Σ W_ij·d_i·d_j.
func Mixed(y []float64, columns [][]float64, group []int) (MixedFit, error) {
	d, err := newMixed(y, columns, group)
	if err != nil {
		return MixedFit{}, err
	}
	ratio := math.Exp(d.best())
	if d.criterion(0) <= d.criterion(ratio) {
		d.at(0)
	}
	return d.fit(), nil
}

// mixed holds the model and what belongs to one ratio of the variances.
type mixed struct {
	n, p    int
	y       *mat.VecDense
	x       *mat.Dense
	members *mat.SymDense // 1 where two rows are of one group

	ratio, value, variance float64 // between over within, criterion, within
	inverse                *mat.SymDense
	phi                    *mat.SymDense // inverse of X'H⁻¹X
	beta                   *mat.VecDense
}

func newMixed(y []float64, columns [][]float64, group []int) (*mixed, error) {
	n, p := len(y), len(columns)
	if p == 0 || n <= p || len(group) != n {
		return nil, fmt.Errorf("contrast.Mixed: %d rows, %d columns, %d numbers of groups; rows have to outnumber columns, each with its group", n, p, len(group))
	}
	d := &mixed{n: n, p: p, y: mat.NewVecDense(n, append([]float64(nil), y...)), x: mat.NewDense(n, p, nil), members: mat.NewSymDense(n, nil)}
	for j, c := range columns {
		if len(c) != n {
			return nil, fmt.Errorf("contrast.Mixed: column %d has %d rows of %d", j, len(c), n)
		}
		d.x.SetCol(j, c)
	}
	for i := range n {
		if sum := y[i] + mat.Sum(d.x.RowView(i)); math.IsNaN(sum) || math.IsInf(sum, 0) {
			return nil, fmt.Errorf("contrast.Mixed: row %d is not finite", i)
		}
		for k := i; k < n; k++ {
			if group[i] == group[k] {
				d.members.SetSym(i, k, 1)
			}
		}
	}
	if math.IsInf(d.criterion(1), 1) {
		return nil, fmt.Errorf("contrast.Mixed: the rows can't tell the %d columns apart, or leave nothing unexplained", p)
	}
	return d, nil
}

func (d *mixed) criterion(ratio float64) float64 {
	d.at(ratio)
	return d.value
}

// at solves for one ratio and finds −2·log of the restricted likelihood there, up
// to a constant; +Inf where it can't be solved.
func (d *mixed) at(ratio float64) {
	d.ratio, d.value = ratio, math.Inf(1)
	h := mat.NewSymDense(d.n, nil)
	h.ScaleSym(ratio, d.members)
	for i := range d.n {
		h.SetSym(i, i, h.At(i, i)+1)
	}
	var chol, normal mat.Cholesky
	if !chol.Factorize(h) {
		return
	}
	d.inverse, d.phi, d.beta = mat.NewSymDense(d.n, nil), mat.NewSymDense(d.p, nil), mat.NewVecDense(d.p, nil)
	if chol.InverseTo(d.inverse) != nil {
		return
	}
	var hx, xhx mat.Dense
	hx.Mul(d.inverse, d.x)
	xhx.Mul(d.x.T(), &hx)
	if !normal.Factorize(symmetric(&xhx)) || normal.InverseTo(d.phi) != nil {
		return
	}
	var right mat.VecDense
	right.MulVec(hx.T(), d.y)
	d.beta.MulVec(d.phi, &right)
	var fitted, residual mat.VecDense
	fitted.MulVec(d.x, d.beta)
	residual.SubVec(d.y, &fitted)
	d.variance = mat.Inner(&residual, d.inverse, &residual) / float64(d.n-d.p)
	if d.variance > 0 {
		d.value = float64(d.n-d.p)*math.Log(d.variance) + chol.LogDet() + normal.LogDet()
	}
}

// best returns the logarithm of the ratio at which the criterion is least: a
// coarse search, then the golden section.
func (d *mixed) best() float64 {
	const reach, step = 16.0, 1.0
	at, least := 0.0, math.Inf(1)
	for x := -reach; x <= reach; x += step {
		if v := d.criterion(math.Exp(x)); v < least {
			at, least = x, v
		}
	}
	low, high := at-step, at+step
	golden := (math.Sqrt(5) - 1) / 2
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, fb := d.criterion(math.Exp(a)), d.criterion(math.Exp(b))
	for high-low > 1e-9 {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa = d.criterion(math.Exp(a))
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb = d.criterion(math.Exp(b))
		}
	}
	return (low + high) / 2
}

// fit applies Kenward's and Roger's correction. V is linear in the two variances,
// with derivatives members and the identity.
func (d *mixed) fit() MixedFit {
	v := mat.NewSymDense(d.n, nil)
	v.ScaleSym(1/d.variance, d.inverse) // V⁻¹
	phi := mat.NewSymDense(d.p, nil)
	phi.ScaleSym(d.variance, d.phi)
	identity := mat.NewDiagDense(d.n, nil)
	for i := range d.n {
		identity.SetDiag(i, 1)
	}
	var times [2]*mat.Dense // V⁻¹·dV
	var first [2]*mat.Dense // P of the source, with the other sign
	var vx mat.Dense
	vx.Mul(v, d.x)
	for i, derivative := range []mat.Matrix{d.members, identity} {
		times[i], first[i] = new(mat.Dense), new(mat.Dense)
		times[i].Mul(v, derivative)
		first[i].Product(vx.T(), derivative, &vx)
	}
	var second [2][2]*mat.Dense // Q of the source
	information := mat.NewSymDense(2, nil)
	for i := range 2 {
		for j := range 2 {
			second[i][j] = new(mat.Dense)
			second[i][j].Product(d.x.T(), times[i], times[j], &vx)
			var both, a, b mat.Dense
			both.Mul(times[i], times[j])
			a.Mul(phi, second[i][j])
			b.Product(phi, first[i], phi, first[j])
			if i <= j {
				information.SetSym(i, j, (mat.Trace(&both)-2*mat.Trace(&a)+mat.Trace(&b))/2)
			}
		}
	}
	var w mat.Dense
	known := w.Inverse(information) == nil
	adjusted, inner := mat.DenseCopyOf(phi), mat.NewDense(d.p, d.p, nil)
	for i := range 2 {
		for j := range 2 {
			if !known {
				continue
			}
			var between, term mat.Dense
			between.Product(first[i], phi, first[j])
			term.Sub(second[i][j], &between)
			term.Scale(w.At(i, j), &term)
			inner.Add(inner, &term)
		}
	}
	var correction mat.Dense
	correction.Product(phi, inner, phi)
	correction.Scale(2, &correction)
	adjusted.Add(adjusted, &correction)

	fit := MixedFit{Between: math.Sqrt(d.ratio * d.variance), Within: math.Sqrt(d.variance)}
	for c := range d.p {
		degrees := float64(d.n - d.p)
		if known {
			column, sum := mat.NewVecDense(d.p, mat.Col(nil, c, phi)), 0.0
			for i := range 2 {
				for j := range 2 {
					sum += w.At(i, j) * mat.Inner(column, first[i], column) * mat.Inner(column, first[j], column)
				}
			}
			degrees = 2 * phi.At(c, c) * phi.At(c, c) / sum
		}
		fit.Coefficients = append(fit.Coefficients, newT(d.beta.AtVec(c), math.Sqrt(adjusted.At(c, c)), degrees))
	}
	return fit
}

// symmetric copies a matrix that is so but for rounding.
func symmetric(m *mat.Dense) *mat.SymDense {
	n, _ := m.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return s
}
