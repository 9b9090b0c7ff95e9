package rtype

import (
	"go/types"
	"reflect"
	"strconv"
	"strings"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// makeStruct returns the type of an unnamed struct. reflect makes it where it
// can; embedded fields, whose methods are promoted, and blank ones, which do
// not take part in comparison, are beyond it.
func (r *Registry) makeStruct(t *types.Struct) (reflect.Type, error) {
	plain := true
	fields := make([]reflect.StructField, t.NumFields())
	for i := range fields {
		f := t.Field(i)
		ft, err := r.get(f.Type())
		if err != nil {
			return nil, err
		}
		fields[i] = reflect.StructField{Name: f.Name(), Type: ft, Tag: reflect.StructTag(t.Tag(i))}
		if !f.Exported() {
			fields[i].PkgPath = f.Pkg().Path()
		}
		fields[i].Anonymous = f.Embedded()
		plain = plain && !f.Embedded() && f.Name() != "_"
	}
	if plain {
		return reflect.StructOf(fields), nil
	}
	if rt, ok := r.types.At(t).(reflect.Type); ok {
		return rt, nil // made by a field's type
	}
	str := structString(fields)
	for _, c := range abi.TypesByString(str) {
		if rt := c.Reflect(); sameFields(rt, fields) {
			return rt, nil
		}
	}
	for _, rt := range r.unnamed[str] {
		if sameFields(rt, fields) {
			r.adoptMethods(t, rt)
			return rt, nil
		}
	}
	f, err := r.forge(t, t, str, false, false)
	if err != nil {
		return nil, err
	}
	r.addUnnamed(str, f.self.typ.Reflect())
	if err := r.completeStruct(f.self, t); err != nil {
		return nil, err
	}
	if err := f.addMethods(r, nil); err != nil {
		return nil, err
	}
	return f.self.typ.Reflect(), nil
}

func structString(fields []reflect.StructField) string {
	var b strings.Builder
	b.WriteString("struct {")
	for i, f := range fields {
		if i > 0 {
			b.WriteByte(';')
		}
		if !f.Anonymous {
			b.WriteString(" " + f.Name)
		}
		b.WriteString(" " + f.Type.String())
		if f.Tag != "" {
			b.WriteString(" " + strconv.Quote(string(f.Tag)))
		}
	}
	if len(fields) > 0 {
		b.WriteByte(' ')
	}
	b.WriteByte('}')
	return b.String()
}

func sameFields(rt reflect.Type, fields []reflect.StructField) bool {
	if rt.Kind() != reflect.Struct || rt.NumField() != len(fields) {
		return false
	}
	for i, f := range fields {
		g := rt.Field(i)
		if f.Name != g.Name || f.PkgPath != g.PkgPath || f.Type != g.Type || f.Tag != g.Tag || f.Anonymous != g.Anonymous {
			return false
		}
	}
	return true
}

// completeStruct replaces the shape's fields by t's own; offsets stay.
func (r *Registry) completeStruct(b block, t *types.Struct) error {
	s := (*abi.StructType)(unsafe.Pointer(b.typ))
	s.PkgPath = abi.Name{}
	fields := make([]abi.StructField, t.NumFields())
	for i := range fields {
		f := t.Field(i)
		ft, err := r.get(f.Type())
		if err != nil {
			return err
		}
		if !f.Exported() && s.PkgPath.Bytes == nil {
			s.PkgPath = abi.NewName(f.Pkg().Path(), "", false, false, 0)
		}
		fields[i] = abi.StructField{
			Name:   abi.NewName(f.Name(), t.Tag(i), f.Exported(), f.Embedded(), 0),
			Typ:    abi.Of(ft),
			Offset: s.Fields[i].Offset,
		}
	}
	s.Fields = fields
	return nil
}

// structEqual compares by the fields that s has when called, blank ones apart.
func structEqual(s *abi.StructType) func(p, q unsafe.Pointer) bool {
	if s.TFlag&abi.TFlagRegularMemory != 0 {
		return func(p, q unsafe.Pointer) bool {
			return unsafe.String((*byte)(p), s.Size_) == unsafe.String((*byte)(q), s.Size_)
		}
	}
	return func(p, q unsafe.Pointer) bool {
		for i := range s.Fields {
			f := &s.Fields[i]
			if f.Name.IsBlank() {
				continue
			}
			if !f.Typ.Equal(unsafe.Add(p, f.Offset), unsafe.Add(q, f.Offset)) {
				return false
			}
		}
		return true
	}
}

func arrayEqual(a *abi.ArrayType) func(p, q unsafe.Pointer) bool {
	return func(p, q unsafe.Pointer) bool {
		for i := range a.Len {
			off := i * a.Elem.Size_
			if !a.Elem.Equal(unsafe.Add(p, off), unsafe.Add(q, off)) {
				return false
			}
		}
		return true
	}
}
