package notebook

import (
	"strings"
	"testing"
)

func TestOnlyChoosesColumns(t *testing.T) {
	g := Table([]struct {
		A, B int
		C    string
	}{{1, 2, "x"}, {3, 4, "y"}}).Only("C", "A", "D")
	if len(g.Header) != 2 || g.Header[0] != "C" || g.Rows[1][0] != "y" || g.Rows[1][1] != 3 {
		t.Errorf("columns %v, rows %v", g.Header, g.Rows)
	}
	if !strings.Contains(g.Note, `no column "D"`) {
		t.Errorf("a wrong name went unnoticed: %q", g.Note)
	}
}

// Headers are words, never Go names, with the unit that a tag says; columns are
// still found by the names of fields.
func TestHeadersAreWords(t *testing.T) {
	g := Table([]struct {
		Drive          string
		SettledMinutes float64 `frame:"settled (min)"`
		MeanRise, X2   float64
		RMSError       float64
		IATBefore      int
	}{{"one", 12, 1, 2, 3, 4}})
	if got := strings.Join(g.Header, "|"); got != "Drive|Settled (min)|Mean rise|X2|RMS error|IAT before" {
		t.Errorf("header %s", got)
	}
	if g = g.Only("SettledMinutes", "Mean rise"); strings.Join(g.Header, "|") != "Settled (min)|Mean rise" || g.Note != "" {
		t.Errorf("header %q, note %q", g.Header, g.Note)
	}
}
