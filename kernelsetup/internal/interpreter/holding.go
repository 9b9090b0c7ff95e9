package interpreter

import (
	"go/token"
	"go/types"
	"reflect"

	"golang.org/x/tools/go/ssa"
)

// Holding returns the values of the notebook's variables that are pointers and
// have the methods of an interface, by the variables' names; those that are nil
// are left out. A pointer is read as one word, so that goroutines of cells may
// go on. Whoever calls a method of one does so by [Interpreter.Guarded].
func (e *Interpreter) Holding(methods reflect.Type) map[string]any {
	return e.session.holding(methods)
}

func (s *session) holding(methods reflect.Type) map[string]any {
	s.state.Lock()
	defer s.state.Unlock()
	found := map[string]any{}
	for _, k := range s.unitKeys() {
		obj, _ := s.pkg.Scope().Lookup(k).(*types.Var)
		g, _ := s.objects[obj].(*ssa.Global)
		if s.units[k].tok != token.VAR || obj == nil || g == nil {
			continue
		}
		place, err := s.machine.Global(g)
		if err != nil || place.Kind() != reflect.Pointer || !place.Type().Implements(methods) || place.IsNil() || !place.CanInterface() {
			continue
		}
		found[k] = place.Interface()
	}
	return found
}
