package drive_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
	. "github.com/bonnetbook/bonnetbook/pkg/drive"
)

// FuzzRole: a role that is taken is written as itself again, and has a
// dimension.
func FuzzRole(f *testing.F) { fuzzRole(f) }

func fuzzRole(f mutant.F) {
	for _, s := range []string{"intake", "intake 1", "own manifold", "oyl", "INTAKE", "own ", "intake 0", "intake 99999999999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRole(s)
		if err != nil {
			return
		}
		again, err := ParseRole(string(r))
		if _, known := r.Dimension(); err != nil || again != r || !known {
			t.Fatalf("%q is the role %q, which is %q again (%v)", s, r, again, err)
		}
	})
}
