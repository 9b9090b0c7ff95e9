package record

import (
	"fmt"
	"math"
	"reflect"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Into fills a slice of structs, given by its pointer, as [frame.Frame.Structs]
// says, which also says when it fails. find returns the column of a name.
func Into(into any, rows int, find func(name string) (*vector.Column, error)) error {
	p := reflect.ValueOf(into)
	if p.Kind() != reflect.Pointer || p.IsNil() || p.Elem().Kind() != reflect.Slice || p.Elem().Type().Elem().Kind() != reflect.Struct {
		return fmt.Errorf("a %T is no pointer to a slice of structs", into)
	}
	t := p.Elem().Type().Elem()
	all := reflect.MakeSlice(p.Elem().Type(), rows, rows)
	for k := range t.NumField() {
		field := t.Field(k)
		if !field.IsExported() || field.Tag.Get(tag) == "-" {
			continue
		}
		name, unit := nameOf(field)
		c, err := find(name)
		if err == nil {
			err = intoField(c, field.Type, unit, func(i int) reflect.Value { return all.Index(i).Field(k) })
		}
		if err != nil {
			return fmt.Errorf("field %s: %w", field.Name, err)
		}
	}
	p.Elem().Set(all)
	return nil
}

// intoField sets one field of all rows.
func intoField(c *vector.Column, t reflect.Type, unit string, at func(i int) reflect.Value) error {
	switch {
	case c.Kind == vector.Instant && t == instantType:
		for i, v := range c.At {
			at(i).Set(reflect.ValueOf(v))
		}
		return nil
	case c.Kind == vector.Text && t.Kind() == reflect.String:
		for i := range c.Code {
			s, _ := c.Text(i)
			at(i).SetString(s)
		}
		return nil
	case c.Kind == vector.Number:
		return numbersInto(c, t, unit, at)
	}
	return fmt.Errorf("a %s can't hold the %s of column %q", t, c.Kind, c.Name)
}

func numbersInto(c *vector.Column, t reflect.Type, unit string, at func(i int) reflect.Value) error {
	kind, typed := kindOf[t]
	if typed && kind != c.Unit.Kind() {
		return fmt.Errorf("a %s can't hold column %q, a %s", t, c.Name, c.Unit.Kind())
	}
	d := c
	if !typed && unit != "" {
		u, _, err := vector.UnitOf(unit)
		if err != nil {
			return err
		}
		if d, err = c.In(u.Spelling()); err != nil {
			return err
		}
	}
	for i, si := range c.Num {
		v := at(i)
		switch {
		case t == temperatureType:
			v.Set(reflect.ValueOf(quantity.Kelvin(si)))
		case typed && t != spanType:
			v.SetFloat(si)
		case v.CanFloat():
			v.SetFloat(d.Unit.FromSI(si))
		case math.IsNaN(si):
			return fmt.Errorf("row %d is missing, which a %s can't hold; use float64", i+1, t)
		case t == spanType:
			v.SetInt(int64(math.Round(si * float64(time.Second))))
		case v.CanInt() && d.Unit.FromSI(si) == math.Trunc(d.Unit.FromSI(si)):
			v.SetInt(int64(d.Unit.FromSI(si)))
		default:
			return fmt.Errorf("a %s can't hold %v of column %q", t, d.Unit.FromSI(si), c.Name)
		}
	}
	return nil
}
