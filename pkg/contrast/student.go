package contrast

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// T is what a t test says of a difference, for comparison with [Fit]: it takes
// nothing for granted of the scatter, and with two or three drives a side its
// intervals are accordingly wide.
type T struct {
	Delta, StandardError, DegreesOfFreedom float64
	PValue                                 float64 // two sides
}

// Interval returns the central interval of the level, 0 < level < 1.
func (t T) Interval(level float64) (low, high float64) {
	half := t.StandardError * distuv.StudentsT{Sigma: 1, Nu: t.DegreesOfFreedom}.Quantile((1+level)/2)
	return t.Delta - half, t.Delta + half
}

func newT(delta, standardError, degrees float64) T {
	t := T{Delta: delta, StandardError: standardError, DegreesOfFreedom: degrees}
	t.PValue = 2 * distuv.StudentsT{Sigma: 1, Nu: degrees}.CDF(-math.Abs(delta/standardError))
	return t
}

// Welch compares the means of two groups, second minus first. It fails where a
// group has fewer than two values.
//
// Source: B. L. Welch, Biometrika 34 (1947) 28–35; degrees of freedom after
// F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110–114.
func Welch(first, second []float64) (T, error) {
	if len(first) < 2 || len(second) < 2 {
		return T{}, fmt.Errorf("contrast.Welch: %d and %d values; both groups need two", len(first), len(second))
	}
	m1, v1 := stat.MeanVariance(first, nil)
	m2, v2 := stat.MeanVariance(second, nil)
	n1, n2 := float64(len(first)), float64(len(second))
	a, b := v1/n1, v2/n2
	return newT(m2-m1, math.Sqrt(a+b), (a+b)*(a+b)/(a*a/(n1-1)+b*b/(n2-1))), nil
}

// Paired compares values that belong together, second minus first, such as
// the two drives of one day. It fails where there are fewer than two pairs or
// the lengths differ.
func Paired(first, second []float64) (T, error) {
	if len(first) < 2 || len(first) != len(second) {
		return T{}, fmt.Errorf("contrast.Paired: %d and %d values; two pairs or more are needed", len(first), len(second))
	}
	d := make([]float64, len(first))
	for i := range d {
		d[i] = second[i] - first[i]
	}
	m, v := stat.MeanVariance(d, nil)
	n := float64(len(d))
	return newT(m, math.Sqrt(v/n), n-1), nil
}
