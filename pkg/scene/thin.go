package scene

import "math"

// thin returns the indices of at most about 2·cells samples that keep the
// extremes and the breaks of the curve: lowest, highest and missing of every
// cell, and both ends.
func thin(y []float64, cells int) []int {
	n := len(y)
	if n <= 2*cells {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return all
	}
	keep := []int{0}
	size := (n + cells - 1) / cells
	for a := 0; a < n; a += size {
		for _, i := range extremes(y, a, min(n, a+size)) {
			if i > keep[len(keep)-1] {
				keep = append(keep, i)
			}
		}
	}
	if keep[len(keep)-1] != n-1 {
		keep = append(keep, n-1)
	}
	return keep
}

// extremes returns the places of the lowest, the highest and a missing value
// of y[a:b], ascending; -1 for none.
func extremes(y []float64, a, b int) [3]int {
	lo, hi, missing := -1, -1, -1
	least, most := math.Inf(1), math.Inf(-1)
	for i := a; i < b; i++ {
		v := y[i]
		if v < least {
			least, lo = v, i
		}
		if v > most {
			most, hi = v, i
		}
		if v != v {
			missing = i
		}
	}
	if lo > hi {
		lo, hi = hi, lo
	}
	switch {
	case missing < lo:
		return [3]int{missing, lo, hi}
	case missing < hi:
		return [3]int{lo, missing, hi}
	}
	return [3]int{lo, hi, missing}
}
