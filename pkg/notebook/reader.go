package notebook

import (
	"reflect"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// measure is a quantity as its reader reads it; it stands to the right in a
// table.
type measure string

// String returns the number with its unit.
func (m measure) String() string { return string(m) }

// reader returns how quantities are written in a row that knows the units of
// whoever reads it: a type with the method ReadIn() quantity.Preferred.
func reader(row reflect.Value) func(field reflect.Value) (measure, bool) {
	knows, ok := any(nil), row.CanInterface()
	if ok {
		knows = row.Interface()
	}
	r, ok := knows.(interface{ ReadIn() quantity.Preferred })
	return func(field reflect.Value) (measure, bool) {
		if !ok || !field.CanInterface() {
			return "", false
		}
		text, known := r.ReadIn().Text(field.Interface())
		return measure(text), known
	}
}
