package help_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/help"
)

// longNotebook is a notebook of 200 cells that dot-imports a large package,
// as notebooks do.
func longNotebook(t testing.TB) *help.Assistant {
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

// Without a prefix the list is short and begins with what fits; one letter
// brings up everything.
func TestCompleteNothingTyped(t *testing.T) {
	a := longNotebook(t)
	matches := func(source string) []string {
		source, cursor := at(source)
		var texts []string
		for _, m := range a.Complete(source, cursor).Matches {
			texts = append(texts, m.Text)
		}
		return texts
	}
	first := func(source string, n int, want ...string) {
		t.Helper()
		got := matches(source)
		for _, w := range want {
			if !slices.Contains(got[:min(n, len(got))], w) {
				t.Errorf("%q begins with %.12q, want %s among the first %d", source, got, w, n)
			}
		}
	}
	if n := len(matches("¦")); n == 0 || n > 100 {
		t.Errorf("%d names where nothing is typed", n)
	}
	first("alpha := 1\nfor beta := range 3 {\n\t¦\n}", 2, "alpha", "beta")
	first("func own() {}\n¦", 2, "own")
	first("time.Sleep(¦)", 1, "limit")
	first("values := []float64{1}\nmean(¦)", 1, "values")
	first("¦", 3, "reading197", "part197")
	first("x := readings[¦]", 1, "count")
	first("m := map[string]int{}\ny := m[¦]", 1, "label")
	first("own := 2.5\nlist := []float64{}\nlist = append(list, ¦)", 1, "own")
	first("own := 2.5\nz := []float64{1, ¦}", 1, "own")
	first("switch label {\ncase ¦:\n}", 1, "label")
	if got := matches("x := ¦"); slices.Contains(got, "x") {
		t.Error("a name is offered for its own definition")
	}
	for _, c := range []struct{ source, want string }{
		{"r¦", "reading0"}, {"p¦", "part3"}, {"s¦", "switch"}, {"u¦", "uint8"}, {"n¦", "nil"}, {"K¦", "Kelvin"},
		{"x := s¦", "strings"}, {"f¦", "for"}, {"for i := r¦", "range"}, {"x := f¦", "func"}, {"return n¦", "nil"},
	} {
		if got := matches(c.source); !slices.Contains(got, c.want) {
			t.Errorf("%q: no %s in %.30q", c.source, c.want, got)
		}
	}
	if got := matches("x := sw¦"); slices.Contains(got, "switch") {
		t.Errorf("a statement's keyword in an expression: %q", got)
	}
}

// Names that an import with a dot brings along are names like any other.
func TestCompleteDotImport(t *testing.T) {
	a := assistant(t, "", `import . "github.com/bonnetbook/bonnetbook/pkg/notebook"`)
	for source, want := range map[string]string{
		"Sho¦": "Show", "x := Tabl¦": "Table", "func f() {\n\tMus¦\n}": "Must", "import . \"math\"\nSqr¦": "Sqrt", "var g Gri¦": "Grid",
	} {
		text, cursor := at(source)
		if m := a.Complete(text, cursor).Matches; len(m) == 0 || m[0].Text != want {
			t.Errorf("%q: %v, want %s first", source, m, want)
		}
	}
}
