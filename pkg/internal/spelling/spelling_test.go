package spelling

import "testing"

// Distances worked out by hand: one swap, one missing letter, none.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"frist", "first", 1}, {"ambent", "ambient", 1}, {"", "abc", 3}, {"same", "same", 0}, {"kitten", "sitting", 3}} {
		if got := distance([]rune(c.a), []rune(c.b), 10); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestSuggestion(t *testing.T) {
	names := []string{"ambient", "intake", "cold-air duct"}
	for got, want := range map[string]string{
		"Ambinet":       ` (did you mean "ambient"?)`,
		"cold air duct": ` (did you mean "cold-air duct"?)`,
		"xyz":           "",
	} {
		if s := Suggestion(got, names); s != want {
			t.Errorf("%q: %q, want %q", got, s, want)
		}
	}
}
