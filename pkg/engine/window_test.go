package engine_test

import (
	"fmt"
	"regexp"
	"strconv"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
)

// A limit is passed only where the value that is shown passes it: "35.0 °C is
// outside 15 °C to 35 °C" says nothing.
func TestWindowsAreSaidRight(t *testing.T) {
	outside := regexp.MustCompile(`([0-9.]+)(?: °C \([0-9.]+ °F\)| kPa|) is outside ([0-9.]+)(?: °C| kPa|) to ([0-9.]+)`)
	for _, s := range engine.Standards() {
		for _, pascal := range []float64{79.96e3, 80e3, 95e3, 110.04e3, 112e3} {
			for _, celsius := range []float64{14.9, 14.96, 15, 34.96, 35, 35.004, 35.04, 35.1, 60} {
				f, err := s.Factor(dryAir(t, pascal, celsius))
				if err != nil {
					t.Fatal(err)
				}
				for _, text := range f.Outside {
					m := outside.FindStringSubmatch(text)
					if m == nil {
						t.Fatalf("not understood: %q", text)
					}
					var n [3]float64
					for i := range n {
						n[i], _ = strconv.ParseFloat(m[i+1], 64)
					}
					if n[0] >= n[1] && n[0] <= n[2] {
						t.Errorf("%v: %q", s, text)
					}
				}
				if warm := celsius > 35.05 || celsius < 14.95; warm && !f.Extrapolated {
					t.Errorf("%v, %v °C: %v", s, celsius, fmt.Sprint(f))
				}
			}
		}
	}
}
