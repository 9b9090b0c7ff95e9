package mutant

import (
	"fmt"
	"reflect"
	"testing"
)

// caller returns what calls a target with an input. The usual kinds of target
// are called directly: a call by reflection takes longer than to read a number.
func caller(t *testing.T, target any) (func(input), error) {
	switch f := target.(type) {
	case func(*testing.T, []byte):
		return func(in input) { f(t, in[0].([]byte)) }, nil
	case func(*testing.T, string):
		return func(in input) { f(t, in[0].(string)) }, nil
	case func(*testing.T, int, string):
		return func(in input) { f(t, in[0].(int), in[1].(string)) }, nil
	case func(*testing.T, float64, float64, float64):
		return func(in input) { f(t, in[0].(float64), in[1].(float64), in[2].(float64)) }, nil
	}
	return nil, fmt.Errorf("mutant: a target %s is not known here: add a case to caller", reflect.TypeOf(target))
}
