package share

import (
	"strings"
	"testing"
)

func TestKernels(t *testing.T) {
	for text, want := range map[string]int{"": 1, "1": 1, " 20 ": 20, "10000": 10000} {
		t.Setenv(Variable, text)
		if n, err := Kernels(); n != want || err != nil {
			t.Errorf("%q: %d, %v", text, n, err)
		}
	}
	for _, text := range []string{"0", "-3", "many", "20.5", "10001", "99999999999999999999"} {
		t.Setenv(Variable, text)
		n, err := Kernels()
		if n != 1 || err == nil || !strings.Contains(err.Error(), text) || !strings.Contains(err.Error(), Variable) {
			t.Errorf("%q: %d, %v", text, n, err)
		}
	}
}

func TestProcessors(t *testing.T) {
	for _, c := range []struct{ kernels, machine, want int }{
		{1, 1, 1}, {1, 8, 8}, {2, 8, 8}, {4, 8, 4}, {20, 2, 1}, {20, 16, 1}, {20, 64, 6}, {10000, 64, 1},
	} {
		if n := processors(c.kernels, c.machine); n != c.want {
			t.Errorf("%d kernels on %d processors: %d, want %d", c.kernels, c.machine, n, c.want)
		}
	}
}
