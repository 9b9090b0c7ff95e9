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
