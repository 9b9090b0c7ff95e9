package uncertainty

import (
	"fmt"
	"math"
)

// secondOrder returns the variance that the law of propagation leaves out when
// it takes f for straight:
//
//	Σ_i Σ_j [ ½·f_ij² + f_i·f_ijj ]·u²(x_i)·u²(x_j)
//
// for normal inputs, with differences over one standard uncertainty for the
// derivatives; of the second part the terms i = j, which those of the first
// order hold in part already, are left out. Correlated inputs are turned into
// uncorrelated ones first.
//
// Source: 5.1.2, note. Where f's first derivatives vanish (JCGM 101, 9.4), or
// those of inputs that matter together only (9.3), this is all there is.
//
// It fails where f is not finite at a corner of the box of one standard
// uncertainty.
func secondOrder(f func([]float64) float64, values []Value, r Correlation, y float64) (float64, error) {
	l, err := r.cholesky(len(values))
	if err != nil {
		return 0, err
	}
	var uncertain []int // a direction without uncertainty adds nothing
	for i, v := range values {
		if v.U > 0 && l[i][i] > 0 {
			uncertain = append(uncertain, i)
		}
	}
	at := func(steps ...step) (float64, error) {
		x := make([]float64, len(values))
		for i, v := range values {
			x[i] = v.X
			for _, s := range steps {
				if s.along <= i { // lower triangle
					x[i] += v.U * l[i][s.along] * s.by
				}
			}
		}
		g := f(x)
		if math.IsNaN(g) || math.IsInf(g, 0) {
			return 0, fmt.Errorf("uncertainty: the function is not finite at %v, within one standard uncertainty of its inputs: %w; use MonteCarlo or smaller uncertainties", x, ErrInput)
		}
		return g, nil
	}
	n := len(uncertain)
	up, down := make([]float64, n), make([]float64, n)
	for a, i := range uncertain {
		if up[a], err = at(step{i, 1}); err != nil {
			return 0, err
		}
		if down[a], err = at(step{i, -1}); err != nil {
			return 0, err
		}
	}
	sum := 0.0
	for a, i := range uncertain {
		bend := up[a] + down[a] - 2*y
		sum += bend * bend / 2
		for b, j := range uncertain[:a] {
			var corner [2][2]float64 // of i, of j
			for p, si := range []float64{1, -1} {
				for q, sj := range []float64{1, -1} {
					if corner[p][q], err = at(step{j, sj}, step{i, si}); err != nil {
						return 0, err
					}
				}
			}
			twist := (corner[0][0] - corner[0][1] - corner[1][0] + corner[1][1]) / 4
			// f_i·f_ijj and f_j·f_jii
			slopeI, slopeJ := (up[a]-down[a])/2, (up[b]-down[b])/2
			changeI := (corner[0][0]+corner[0][1]-corner[1][0]-corner[1][1])/2 - 2*slopeI
			changeJ := (corner[0][0]+corner[1][0]-corner[0][1]-corner[1][1])/2 - 2*slopeJ
			sum += twist*twist + slopeI*changeI + slopeJ*changeJ
		}
	}
	return sum, nil
}

// step goes along one of the uncorrelated inputs by a number of its standard
// uncertainties.
type step struct {
	along int
	by    float64
}

// joint finds for each input the group of those that it is correlated with,
// directly or through others; groups are named by their first member.
func (r Correlation) joint(n int) []int {
	group := make([]int, n)
	for i := range group {
		group[i] = i
	}
	for again := true; again; {
		again = false
		for p := range r {
			first := min(group[p.I], group[p.J])
			again = again || group[p.I] != first || group[p.J] != first
			group[p.I], group[p.J] = first, first
		}
	}
	return group
}

// degreesOfFreedom returns the effective degrees of freedom of a result with
// the sensitivities c, zero where they are infinite. Inputs that were observed
// together count as one with the degrees of freedom that they share, the least
// of them where they differ; mixed says that they do. What second order adds is
// taken to be known as well as the rest; where it is all there is, the least
// degrees of freedom of an input count.
//
// Source: equation (G.2b); groups of correlated inputs as in R. Willink,
// Metrologia 44 (2007) 340–349, which for one group of n joint observations
// gives n − 1 as H.2 does in its second approach (from memory).
func degreesOfFreedom(c []float64, values []Value, r Correlation) (degrees float64, mixed bool) {
	group := r.joint(len(values))
	sum, total, leastOfAll := 0.0, 0.0, math.Inf(1)
	for g := range values {
		variance, least := 0.0, math.Inf(1)
		for i := range values {
			if group[i] != g || values[i].U == 0 {
				continue
			}
			for j := range values {
				if group[j] == g {
					variance += c[i] * c[j] * values[i].U * values[j].U * r.At(i, j)
				}
			}
			nu := values[i].DegreesOfFreedom
			if nu == 0 {
				nu = math.Inf(1)
			}
			mixed = mixed || nu != least && group[i] != i
			least = math.Min(least, nu)
		}
		total += variance
		leastOfAll = math.Min(leastOfAll, least)
		if !math.IsInf(least, 1) {
			sum += variance * variance / least
		}
	}
	switch {
	case total == 0 && !math.IsInf(leastOfAll, 1):
		return leastOfAll, mixed
	case sum == 0:
		return 0, mixed
	}
	return total * total / sum, mixed
}
