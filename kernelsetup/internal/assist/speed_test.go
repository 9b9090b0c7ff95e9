package assist_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/assist"
)

// longNotebook is a notebook of 200 cells that dot-imports a large package,
// as notebooks do.
func longNotebook(t testing.TB) *assist.Assistant {
	cells := []string{before, `import . "github.com/bonnetbook/bonnetbook/pkg/quantity"`}
	for i := range 198 {
		cells = append(cells, fmt.Sprintf("reading%d := float64(%d)\nfunc part%d(x float64) float64 { return x + reading%d }", i, i, i, i))
	}
	return assistant(t, "", cells...)
}

// BenchmarkLongNotebook completes in a notebook of 200 cells. Beside the mean
// it reports the 99th percentile, which is what a typing person notices.
func BenchmarkLongNotebook(b *testing.B) {
	a := longNotebook(b)
	for _, c := range []string{"¦", "x := ¦", "mean(¦)", "p¦", "time.Sleep(¦)", "fmt.¦", "readings[0].¦", "import \"¦\"", "x := 1\nfor i := range 3 {\n\t¦\n}"} {
		source, cursor := at(c)
		b.Run(strings.ReplaceAll(c, "\n", ";"), func(b *testing.B) {
			var took []time.Duration
			count := 0
			for b.Loop() {
				begin := time.Now()
				count = len(a.Complete(source, cursor).Matches)
				took = append(took, time.Since(begin))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "µs/p99")
			b.ReportMetric(float64(count), "matches")
		})
	}
}
