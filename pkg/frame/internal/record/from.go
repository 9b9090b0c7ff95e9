// Package record turns structs into columns of a frame and back.
package record

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"time"
	"unicode"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// kindOf gives the kind of each type of quantity.
var kindOf = map[reflect.Type]quantity.Kind{
	temperatureType: quantity.KindTemperature,
	spanType:        quantity.KindDuration,
	reflect.TypeFor[quantity.TemperatureDifference](): quantity.KindTemperatureDifference,
	reflect.TypeFor[quantity.Speed]():                 quantity.KindSpeed,
	reflect.TypeFor[quantity.Acceleration]():          quantity.KindAcceleration,
	reflect.TypeFor[quantity.Length]():                quantity.KindLength,
	reflect.TypeFor[quantity.Angle]():                 quantity.KindAngle,
	reflect.TypeFor[quantity.Pressure]():              quantity.KindPressure,
	reflect.TypeFor[quantity.RelativeHumidity]():      quantity.KindRelativeHumidity,
	reflect.TypeFor[quantity.RotationalSpeed]():       quantity.KindRotationalSpeed,
	reflect.TypeFor[quantity.Density]():               quantity.KindDensity,
	reflect.TypeFor[quantity.Power]():                 quantity.KindPower,
	reflect.TypeFor[quantity.Area]():                  quantity.KindArea,
	reflect.TypeFor[quantity.Volume]():                quantity.KindVolume,
	reflect.TypeFor[quantity.Mass]():                  quantity.KindMass,
	reflect.TypeFor[quantity.Torque]():                quantity.KindTorque,
	reflect.TypeFor[quantity.Energy]():                quantity.KindEnergy,
	reflect.TypeFor[quantity.Force]():                 quantity.KindForce,
	reflect.TypeFor[quantity.MassFlow]():              quantity.KindMassFlow,
	reflect.TypeFor[quantity.VolumeFlow]():            quantity.KindVolumeFlow,
}

var (
	temperatureType = reflect.TypeFor[quantity.Temperature]()
	estimateType    = reflect.TypeFor[estimate.Estimate]()
	instantType     = reflect.TypeFor[time.Time]()
	spanType        = reflect.TypeFor[time.Duration]()
	stringerType    = reflect.TypeFor[fmt.Stringer]()
)

// tag names a column and its unit: `frame:"rise (K, temperature difference)"`.
const tag = "frame"

// From makes columns of a slice of structs as [frame.FromStructs] says, which
// also says when it fails. The notes name the fields left out.
func From(slice any) (columns []*vector.Column, notes []string, err error) {
	v := reflect.ValueOf(slice)
	if !v.IsValid() || v.Kind() != reflect.Slice || v.Type().Elem().Kind() != reflect.Struct {
		return nil, nil, fmt.Errorf("a %T is no slice of structs", slice)
	}
	t := v.Type().Elem()
	for k := range t.NumField() {
		field := t.Field(k)
		if !field.IsExported() || field.Tag.Get(tag) == "-" {
			continue
		}
		c, err := fieldColumn(field, v, k)
		switch {
		case err != nil:
			return nil, nil, fmt.Errorf("field %s: %w", field.Name, err)
		case c == nil:
			notes = append(notes, fmt.Sprintf("field %s, a %s, is left out", field.Name, field.Type))
		default:
			columns = append(columns, c)
		}
	}
	return columns, notes, nil
}

// nameOf returns the column's name and its unit, as the tag has them.
func nameOf(field reflect.StructField) (name, unit string) {
	if text := field.Tag.Get(tag); text != "" {
		if name, unit = vector.SplitHeader(text); name != "" {
			return name, unit
		}
	}
	return words(field.Name), ""
}

// words writes a Go name in small words.
func words(name string) string {
	var b strings.Builder
	letters := []rune(name)
	for i, r := range letters {
		if i > 0 && unicode.IsUpper(r) && (!unicode.IsUpper(letters[i-1]) || i+1 < len(letters) && unicode.IsLower(letters[i+1])) {
			b.WriteByte(' ')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// fieldColumn makes a column of one field of all structs; nil for a type that
// no column can hold.
func fieldColumn(field reflect.StructField, v reflect.Value, k int) (*vector.Column, error) {
	name, unit := nameOf(field)
	n := v.Len()
	at := func(i int) reflect.Value { return v.Index(i).Field(k) }
	t := field.Type
	if t == estimateType {
		return estimates(name, n, func(i int) estimate.Estimate { return at(i).Interface().(estimate.Estimate) })
	}
	if t == instantType {
		all := make([]time.Time, n)
		for i := range all {
			all[i] = at(i).Interface().(time.Time)
		}
		return vector.Instants(name, all), nil
	}
	if number, kind := numberOf(t); number != nil {
		u := kind.Shown()
		if unit != "" {
			var err error
			if u, _, err = vector.UnitOf(unit); err == nil && kind != quantity.KindNumber && u.Kind() != kind {
				u, err = quantity.Lookup(kind, strings.TrimSpace(strings.Split(unit, ",")[0]))
			}
			if err != nil {
				return nil, err
			}
		}
		si := make([]float64, n)
		for i := range si {
			if si[i] = number(at(i)); kind == quantity.KindNumber {
				si[i] = u.ToSI(si[i])
			}
		}
		return vector.Numbers(name, u, si), nil
	}
	if t.Kind() == reflect.String || t.Kind() == reflect.Bool || t.Implements(stringerType) {
		all := make([]string, n)
		for i := range all {
			if p := at(i); p.Kind() != reflect.Pointer || !p.IsNil() {
				all[i] = fmt.Sprint(p.Interface())
			}
		}
		return vector.Texts(name, all, func(i int) bool { return at(i).Kind() != reflect.Pointer || !at(i).IsNil() }), nil
	}
	return nil, nil
}

// numberOf returns what reads a number of a type in SI, and its kind; nil for
// other types. A type that counts and prints itself, such as a kind of
// driving, is a text.
func numberOf(t reflect.Type) (read func(v reflect.Value) float64, kind quantity.Kind) {
	if t.Kind() == reflect.Pointer {
		inner, kind := numberOf(t.Elem())
		if inner == nil {
			return nil, 0
		}
		return func(v reflect.Value) float64 {
			if v.IsNil() {
				return math.NaN()
			}
			return inner(v.Elem())
		}, kind
	}
	switch kind, ok := kindOf[t]; {
	case t == temperatureType:
		return func(v reflect.Value) float64 { return v.Interface().(quantity.Temperature).Kelvin() }, kind
	case t == spanType:
		return func(v reflect.Value) float64 { return time.Duration(v.Int()).Seconds() }, kind
	case ok:
		return reflect.Value.Float, kind
	case t.Implements(stringerType):
		return nil, 0
	}
	v := reflect.Zero(t)
	switch {
	case v.CanFloat():
		return reflect.Value.Float, 0
	case v.CanInt():
		return func(v reflect.Value) float64 { return float64(v.Int()) }, 0
	case v.CanUint():
		return func(v reflect.Value) float64 { return float64(v.Uint()) }, 0
	}
	return nil, 0
}

// estimates makes a column of the values of estimates.
func estimates(name string, n int, at func(i int) estimate.Estimate) (*vector.Column, error) {
	c := vector.Numbers(name, quantity.Unit{}, make([]float64, n))
	for i := range n {
		e := at(i)
		if c.Num[i] = e.Value; !e.Known() {
			c.Num[i] = math.NaN()
		}
		if i > 0 && e.Unit.Kind() != c.Unit.Kind() {
			return nil, fmt.Errorf("row %d is a %s, those before are %s", i+1, e.Unit.Kind(), c.Unit.Kind())
		}
		c.Unit = e.Unit
	}
	return c, nil
}
