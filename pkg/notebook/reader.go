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

// reader returns how the values of a row are shown: quantities in the units of
// whoever reads the row, where its type knows them by a method
// ReadIn() quantity.Preferred.
func reader(row reflect.Value) func(value any) any {
	r, knows := valueOf(row).(interface{ ReadIn() quantity.Preferred })
	if !knows {
		return func(value any) any { return value }
	}
	units := r.ReadIn()
	return func(value any) any {
		if text, known := units.Text(value); known {
			return measure(text)
		}
		return value
	}
}
