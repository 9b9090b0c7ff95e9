package uncertainty_test

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// Against python3-uncertainties (testdata), which differentiates exactly; the
// difference quotient over ± u differs by the order of (u/x)².
func TestPropagateAgainstLibrary(t *testing.T) {
	f, err := os.Open("testdata/propagation.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows := 0
	for scan := bufio.NewScanner(f); scan.Scan(); {
		var x []float64
		for _, cell := range strings.Split(scan.Text(), ",") {
			if v, err := strconv.ParseFloat(cell, 64); err == nil {
				x = append(x, v)
			}
		}
		if len(x) != 8 {
			continue
		}
		rows++
		p, k := Value{X: x[0], U: x[1]}, Value{X: x[2], U: x[3]}
		for i, model := range []func([]float64) float64{
			func(v []float64) float64 { return v[0] / (287.05287 * v[1]) },
			func(v []float64) float64 { return math.Pow(99e3/v[0], 1.2) * math.Pow(v[1]/298, 0.6) },
		} {
			y, err := Propagate(model, p, k)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "estimate", y.X, x[4+2*i], 1e-12)
			near(t, "standard uncertainty", y.U, x[5+2*i], 1e-4*x[5+2*i])
		}
	}
	if rows != 24 {
		t.Errorf("%d rows", rows)
	}
}
