package regression

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// solve fits by QR. Columns that depend on those before them drop out, one
// after the other: behind such a column the factors mean nothing.
func (d *data) solve() (Fit, error) {
	use, k := d.rows(), len(d.x)
	f := Fit{Rows: len(use), Missing: len(d.y) - len(use), Coefficients: make([]float64, k)}
	kept := make([]int, k)
	for j := range kept {
		kept[j] = j
	}
	var qr mat.QR
	var triangle *mat.TriDense
	for {
		switch {
		case len(kept) == 0:
			return f, fmt.Errorf("regression: all columns are 0: %w", ErrInput)
		case len(use) < len(kept):
			return f, fmt.Errorf("regression: %d complete rows for %d columns: %w", len(use), len(kept), ErrInput)
		}
		qr.Factorize(d.matrix(use, kept))
		triangle = upperTriangle(&qr)
		bad := dependentColumn(triangle)
		if bad < 0 {
			break
		}
		f.Dependent = append(f.Dependent, kept[bad])
		kept = slices.Delete(kept, bad, bad+1)
	}
	f.Rank, f.Condition = len(kept), qr.Cond()
	b := mat.NewVecDense(len(use), nil)
	for q, i := range use {
		b.SetVec(q, d.y[i])
	}
	var solution mat.VecDense
	var condition mat.Condition // a warning only: the dependent columns are out
	if err := qr.SolveVecTo(&solution, false, b); err != nil && !errors.As(err, &condition) {
		return f, fmt.Errorf("regression: %w: %w", ErrInput, err)
	}
	for p, j := range kept {
		f.Coefficients[j] = solution.AtVec(p)
	}
	f.unscaled = unscaled(triangle, kept, k)
	d.residuals(&f, use)
	if len(f.Dependent) > 0 {
		return f, fmt.Errorf("regression: columns %v of %d: %w", f.Dependent, k, ErrDependent)
	}
	return f, nil
}

// rows returns the numbers of the complete rows.
func (d *data) rows() []int {
	use := make([]int, 0, len(d.y))
	for i, v := range d.y {
		for _, c := range d.x {
			v += c[i] // NaN if any is
		}
		if !math.IsNaN(v) {
			use = append(use, i)
		}
	}
	return use
}

func (d *data) matrix(rows, columns []int) *mat.Dense {
	a := mat.NewDense(len(rows), len(columns), nil)
	for p, j := range columns {
		for q, i := range rows {
			a.Set(q, p, d.x[j][i])
		}
	}
	return a
}

// residuals are those of the plain rows; their sum of squares is that of the
// rows as solved.
func (d *data) residuals(f *Fit, use []int) {
	f.Residuals = make([]float64, len(d.y))
	for i, v := range d.plainY {
		for j, c := range d.plainX {
			v -= f.Coefficients[j] * c[i]
		}
		f.Residuals[i] = v
	}
	for _, i := range use {
		v := d.y[i]
		for j, c := range d.x {
			v -= f.Coefficients[j] * c[i]
		}
		f.RSS += v * v
	}
}

func upperTriangle(qr *mat.QR) *mat.TriDense {
	var r mat.Dense
	qr.RTo(&r)
	_, k := r.Dims()
	t := mat.NewTriDense(k, mat.Upper, nil)
	for i := range k {
		for j := i; j < k; j++ {
			t.SetTri(i, j, r.At(i, j))
		}
	}
	return t
}

// dependentColumn returns the first column that those before it explain but
// for rounding, −1 if there is none.
func dependentColumn(r *mat.TriDense) int {
	k, _ := r.Dims()
	for j := range k {
		length := 0.0
		for i := range j + 1 {
			length = math.Hypot(length, r.At(i, j))
		}
		if !(math.Abs(r.At(j, j)) > dependence*length) {
			return j
		}
	}
	return -1
}

// unscaled returns (XᵀX)⁻¹ = R⁻¹R⁻ᵀ for k columns of which some are kept, NaN
// for the others.
func unscaled(r *mat.TriDense, kept []int, k int) [][]float64 {
	all := make([][]float64, k)
	for i := range all {
		all[i] = make([]float64, k)
		for j := range all[i] {
			all[i][j] = math.NaN()
		}
	}
	var inverse mat.TriDense
	if err := inverse.InverseTri(r); err != nil && math.IsInf(mat.Cond(r, 1), 1) {
		return all
	}
	for p, i := range kept {
		for q, j := range kept {
			sum := 0.0
			for m := max(p, q); m < len(kept); m++ {
				sum += inverse.At(p, m) * inverse.At(q, m)
			}
			all[i][j] = sum
		}
	}
	return all
}
