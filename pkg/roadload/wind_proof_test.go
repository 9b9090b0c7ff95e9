//go:build proof

package roadload

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// Prints the table of testdata/coastdown_coverage.txt.
func TestCoastDownCoverage(t *testing.T) {
	const days, seed = 400, 7
	var b strings.Builder
	fmt.Fprintf(&b, "# %d simulated days a line, seed %d; RESULT=testdata/coastdown_coverage.txt go test -tags proof -count=1 -run TestCoastDownCoverage ./pkg/roadload\n", days, seed)
	fmt.Fprintln(&b, "# wind: standard deviation from run to run and of gusts within a run, m/s; runs end after 60 s or at 8 m/s")
	fmt.Fprintln(&b, "# F0 and F2: mean error and its standard deviation, and how many intervals of 95 % hold the truth, all in %")
	fmt.Fprintln(&b, "fit            runs  end     change  gusts | F0 bias     sd   held | F2 bias     sd   held | change found")
	steady := byOppositeRuns
	steady.SteadyWind = true
	row := func(name string, d coastDays, opt CoastOptions) {
		h := d.repeat(t, days, opt, seed)
		end := "60 s"
		if d.stop > 0 {
			end = fmt.Sprintf("%g m/s", d.stop)
		}
		fmt.Fprintf(&b, "%-14s %4d  %-6s  %6.1f  %5.1f | %+7.2f  %5.2f  %5.1f | %+7.2f  %5.2f  %5.1f | %.2f\n", name, d.runs, end, d.change, d.gusts,
			100*h.biasF0, 100*h.spreadF0, 100*float64(h.inF0)/days, 100*h.biasF2, 100*h.spreadF2, 100*float64(h.inF2)/days, h.change)
	}
	row("one wind", coastDays{runs: 10, change: 1}, steady)
	for _, d := range []coastDays{
		{4, 0, 0, 0}, {10, 0, 0, 0}, {4, 1, 0, 0}, {6, 1, 0, 0}, {10, 1, 0, 0}, {4, 1, 0, 8}, {10, 1, 0, 8}, {10, 2, 0, 8}, {10, 1, 0.5, 0}, {10, 1, 0.5, 8},
	} {
		row("own winds", d, byOppositeRuns)
	}
	t.Log("\n" + b.String())
	if path := os.Getenv("RESULT"); path != "" {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
