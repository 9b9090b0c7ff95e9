package vm

import (
	"reflect"
	"testing"
)

// What a value of a cell leads to ends where the kernel begins: a slider leads
// there.
func TestReach(t *testing.T) {
	for _, c := range []struct {
		t          reflect.Type
		code, maps bool
	}{
		{reflect.TypeFor[*Machine](), false, false},
		{reflect.TypeFor[[]Holdings](), false, false},
		{reflect.TypeFor[struct {
			n int
			m *Machine
		}](), false, false},
		{reflect.TypeFor[map[string]*Run](), false, true},
		{reflect.TypeFor[struct {
			m *Machine
			f func()
		}](), true, false},
		{reflect.TypeFor[*[]map[int]int](), false, true},
		{reflect.TypeFor[[]any](), true, true},
		{reflect.TypeFor[func()](), true, false},
		{reflect.TypeFor[*int](), false, false},
	} {
		if code, maps := toCode.from(c.t), toMaps.from(c.t); code != c.code || maps != c.maps {
			t.Errorf("%v: code %v, maps %v", c.t, code, maps)
		}
	}
}
