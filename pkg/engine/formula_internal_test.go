package engine

import "testing"

// The compiler counts the formulas; this sees that each stands at its
// standard's place.
func TestFormulasStandInOrder(t *testing.T) {
	for i, s := range Standards() {
		if f := formulas[i]; f.standard != s || f.name != s.String() || f.factor == nil || f.outside == nil {
			t.Errorf("formula %d is %q of standard %v, want that of %v", i, f.name, int(f.standard), int(s))
		}
	}
}
