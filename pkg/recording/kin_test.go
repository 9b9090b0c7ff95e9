package recording

import (
	"strings"
	"testing"
)

// kinNotRight are the files of kin.zip that are not read as they are meant
// without a word.
var kinNotRight = map[outcome]string{}

// TestKin reads files by somebody who knows loggers and locales, not the reader
// (testdata/odd/kin.py): each is right, or what it is listed as, and none is
// wrong without a word.
func TestKin(t *testing.T) {
	expected := map[string]outcome{}
	for o, names := range kinNotRight {
		for _, n := range strings.Fields(names) {
			expected[n] = o
		}
	}
	count := map[outcome]int{}
	for _, f := range foreignFiles(t, "kin.zip") {
		became, why := f.became()
		count[became]++
		want := readRight
		if o, ok := expected[f.name]; ok {
			want = o
		}
		if became != want {
			t.Errorf("%s: %s, want %s: %s", f.name, became, want, why)
		}
	}
	t.Log(count)
}
