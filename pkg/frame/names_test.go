package frame_test

import (
	"slices"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

// What is completed and explained between quotes are the columns, and nothing for
// the methods that take a file.
func TestNamesOfColumns(t *testing.T) {
	type row struct {
		Place string
		Speed float64 `frame:"speed (km/h)"`
		At    time.Time
	}
	at := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	rows := []row{{"village", 30, at}, {"hill", 62.5, at.Add(time.Minute)}, {"", 0, time.Time{}}}
	f := frame.FromStructs(rows).Filter(frame.Not(frame.Is("place", "hill")))
	if got := f.NamesFor("Group"); !slices.Equal(got, f.Names()) || len(got) != 3 {
		t.Errorf("completed: %q", got)
	}
	for _, method := range []string{"WriteArrow", "WriteCSV", "WriteParquet"} {
		if got := f.NamesFor(method); len(got) > 0 {
			t.Errorf("%s takes a file, got %q", method, got)
		}
	}
	for name, want := range map[string]string{
		"place":   "place: 2 rows; 2 texts: village, (empty)",
		"speed":   "speed (km/h): 2 rows; 0 to 30",
		"at":      "at: 2 rows, 1 missing; 2026-05-01 12:00:00 to 2026-05-01 12:00:00",
		"nothing": "",
	} {
		if got := f.DescribeName(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	failed := frame.FromStructs(3)
	if failed.DescribeName("place") != "" || len(failed.NamesFor("Group")) > 0 {
		t.Error("a frame that holds an error knows names")
	}
}
