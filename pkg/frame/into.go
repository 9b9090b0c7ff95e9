package frame

import (
	"fmt"
	"math"
	"reflect"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Structs fills a slice of structs, given by its pointer, with the rows: each
// exported field takes the column of its name as [FromStructs] has it. A
// quantity takes a column of its kind; a plain number takes the values in the
// unit of its tag, or as the column shows them. A missing number is NaN, a
// missing text "", a missing instant the zero time.
//
// It fails, and leaves the slice as it was, where into is no pointer to such a
// slice, a field has no column, or its type can't hold what the column has
// (whole numbers can't hold a missing one).
func (f *Frame) Structs(into any) error {
	p := reflect.ValueOf(into)
	if f.err != nil {
		return f.err
	}
	if p.Kind() != reflect.Pointer || p.IsNil() || p.Elem().Kind() != reflect.Slice || p.Elem().Type().Elem().Kind() != reflect.Struct {
		return fmt.Errorf("frame, Structs: a %T is no pointer to a slice of structs", into)
	}
	t := p.Elem().Type().Elem()
	all := reflect.MakeSlice(p.Elem().Type(), f.rows, f.rows)
	for k := range t.NumField() {
		field := t.Field(k)
		if !field.IsExported() || field.Tag.Get(tag) == "-" {
			continue
		}
		name, unit := nameOf(field)
		c, err := f.column(name)
		if err == nil {
			err = c.intoField(field.Type, unit, func(i int) reflect.Value { return all.Index(i).Field(k) })
		}
		if err != nil {
			return fmt.Errorf("frame, Structs: field %s: %w", field.Name, err)
		}
	}
	p.Elem().Set(all)
	return nil
}

// intoField sets one field of all rows.
func (c *column) intoField(t reflect.Type, unit string, at func(i int) reflect.Value) error {
	switch {
	case c.kind == Instant && t == instantType:
		for i, v := range c.at {
			at(i).Set(reflect.ValueOf(v))
		}
		return nil
	case c.kind == Text && t.Kind() == reflect.String:
		for i := range c.code {
			s, _ := c.text(i)
			at(i).SetString(s)
		}
		return nil
	case c.kind == Number:
		return c.numbersInto(t, unit, at)
	}
	return fmt.Errorf("a %s can't hold the %s of column %q", t, c.kind, c.name)
}

func (c *column) numbersInto(t reflect.Type, unit string, at func(i int) reflect.Value) error {
	kind, typed := kindOf[t]
	switch {
	case t == temperatureType:
		kind, typed = quantity.KindTemperature, true
	case t == spanType:
		kind, typed = quantity.KindDuration, true
	}
	if typed && kind != c.unit.Kind() {
		return fmt.Errorf("a %s can't hold column %q, a %s", t, c.name, c.unit.Kind())
	}
	d := c
	if !typed && unit != "" {
		u, _, err := unitOf(unit)
		if err != nil {
			return err
		}
		if d, err = c.in(u.Spelling()); err != nil {
			return err
		}
	}
	for i, si := range c.num {
		v := at(i)
		switch {
		case t == temperatureType:
			v.Set(reflect.ValueOf(quantity.Kelvin(si)))
		case typed && t != spanType:
			v.SetFloat(si)
		case v.CanFloat():
			v.SetFloat(d.unit.FromSI(si))
		case math.IsNaN(si):
			return fmt.Errorf("row %d is missing, which a %s can't hold; use float64", i+1, t)
		case t == spanType:
			v.SetInt(int64(math.Round(si * float64(time.Second))))
		case v.CanInt() && d.unit.FromSI(si) == math.Trunc(d.unit.FromSI(si)):
			v.SetInt(int64(d.unit.FromSI(si)))
		default:
			return fmt.Errorf("a %s can't hold %v of column %q", t, d.unit.FromSI(si), c.name)
		}
	}
	return nil
}
