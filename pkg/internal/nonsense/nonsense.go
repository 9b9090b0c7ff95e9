// Package nonsense puts numbers that can't be into structs, for tests of what
// refuses them. Only tests import it.
package nonsense

import (
	"math"
	"reflect"
)

// Numbers returns those that nothing is: no number, both infinities, and one
// that is below what the subject can be.
func Numbers(below float64) []float64 {
	return []float64{math.NaN(), math.Inf(1), math.Inf(-1), below}
}

// Fields puts each of [Numbers] into each number of the struct that x points to
// in turn, and restores it.
func Fields(x any, below float64, try func(field string, bad float64)) {
	v := reflect.ValueOf(x).Elem()
	for i := range v.NumField() {
		f := v.Field(i)
		if f.Kind() != reflect.Float64 {
			continue
		}
		was := f.Float()
		for _, bad := range Numbers(below) {
			f.SetFloat(bad)
			try(v.Type().Field(i).Name, bad)
		}
		f.SetFloat(was)
	}
}
