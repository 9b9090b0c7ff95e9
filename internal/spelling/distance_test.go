package spelling_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/spelling"
)

// Kitten and sitting are the usual example of Levenshtein's distance; the last
// pair, from memory, tells optimal string alignment (3) from the unrestricted
// distance of Damerau (2).
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b        string
		limit, want int
	}{
		{"kitten", "sitting", 10, 3},
		{"drvie", "drive", 10, 1},
		{"", "abc", 10, 3},
		{"ca", "abc", 10, 3},
		{"a", "abcdefgh", 4, 4},
	} {
		if got := spelling.Distance(c.a, c.b, c.limit); got != c.want {
			t.Errorf("%q, %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
