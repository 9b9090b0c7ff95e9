package vm

import (
	"reflect"
	"testing"
)

// What a cell holds ends where the kernel begins: a slider leads there.
func TestKernelHoldsNoCodeOfCells(t *testing.T) {
	for _, c := range []struct {
		t    reflect.Type
		want bool
	}{
		{reflect.TypeFor[*Machine](), false},
		{reflect.TypeFor[[]Holdings](), false},
		{reflect.TypeFor[map[string]*Run](), false},
		{reflect.TypeFor[struct {
			n int
			m *Machine
		}](), false},
		{reflect.TypeFor[struct {
			m *Machine
			f func()
		}](), true},
		{reflect.TypeFor[[]any](), true},
		{reflect.TypeFor[*int](), false},
	} {
		if got := holdsCode(c.t); got != c.want {
			t.Errorf("%v: %v", c.t, got)
		}
	}
}
