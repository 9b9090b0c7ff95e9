package quantity

import (
	"strings"
	"testing"
)

// Each spelling of the table stands for one unit of its kind, and every unit
// that is guessed at or shown by example is there.
func TestTableHasNoTwins(t *testing.T) {
	for k := range kinds {
		e := &table[k]
		if e.name == "" || e.example == "" || len(e.units) == 0 {
			t.Errorf("kind %d is incomplete", k)
		}
		owner := map[string]string{}
		add := func(list, symbol string) {
			if list == "" {
				return
			}
			for s := range strings.SplitSeq(list, "|") {
				n := normal.Replace(s)
				if other, taken := owner[n]; taken && other != symbol {
					t.Errorf("%s: %q stands for %q and %q", e.name, s, other, symbol)
				}
				if n == "" {
					t.Errorf("%s: empty spelling of %q", e.name, symbol)
				}
				owner[n] = symbol
			}
		}
		for _, r := range e.units {
			add(r.spellings, r.symbol)
			add(r.behind, r.symbol)
			add(r.damaged, r.symbol)
			if u, why := lookup(k, r.symbol); r.symbol != "" && (why != "" || u.symbol != r.symbol) {
				t.Errorf("%s: the symbol %q is read as %q (%s)", e.name, r.symbol, u.symbol, why)
			}
		}
		for s := range e.refused {
			add(s, "refused")
		}
		for _, g := range e.guesses {
			if _, why := lookup(k, g); why != "" {
				t.Errorf("%s: guess %q: %s", e.name, g, why)
			}
		}
		if _, _, err := Parse(k, e.example); err != nil {
			t.Errorf("example of %s: %v", e.name, err)
		}
		if u := k.SI(); u.ToSI(3) != 3 || u.Kind() != k {
			t.Errorf("%s: SI unit %v", e.name, u)
		}
	}
}
