package parallel_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
)

// Each thing is done once, also where there are fewer than processors, or none.
func TestEach(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		done := make([]int, n)
		parallel.Each(n, func(i int) { done[i]++ })
		for i, k := range done {
			if k != 1 {
				t.Errorf("%d of %d was done %d times", i, n, k)
			}
		}
	}
}

// A panic reaches the caller, who may catch it, and the others are done all the same.
func TestPanicIsTheCallers(t *testing.T) {
	done := make([]bool, 50)
	defer func() {
		if p := recover(); p != "third" {
			t.Errorf("the caller sees %v", p)
		}
		for i, d := range done {
			if d == (i == 3) {
				t.Errorf("%d: done %v", i, d)
			}
		}
	}()
	parallel.Each(len(done), func(i int) {
		if i == 3 {
			panic("third")
		}
		done[i] = true
	})
}
