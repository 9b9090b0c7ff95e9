//go:build ignore

package sql

import (
	"database/sql/driver"
	"reflect"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"
)

func convertAssign(dest, src any) error { return native.ConvertAssign(dest, src) }

func callValuerValue(vr driver.Valuer) (v driver.Value, err error) {
	if rv := reflect.ValueOf(vr); rv.Kind() == reflect.Pointer && rv.IsNil() &&
		rv.Type().Elem().Implements(reflect.TypeFor[driver.Valuer]()) {
		return nil, nil
	}
	return vr.Value()
}
