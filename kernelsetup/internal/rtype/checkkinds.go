package rtype

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"reflect"
	"unsafe"
)

// kindsSource declares a type of each kind that is forged, with a method where
// it can have one.
const kindsSource = `package main
type (
	Array   [2]Struct
	Chan    chan Struct
	Func    func(string, ...Struct) Struct
	Iface   interface { String() string; hidden() }
	Map     map[Key]Struct
	Pointer *Struct
	Slice   []Struct
	Struct  struct { S string; next *Struct; Key; _ int }
	Key     struct { A int; B string }
)
func (Array) String() string {}
func (Chan) String() string {}
func (Func) String() string {}
func (Map) String() string {}
func (Slice) String() string {}
func (Struct) String() string {}
func (Struct) hidden() {}
`

// saysForged is the Caller of these methods.
type saysForged struct{ checkCaller }

func (saysForged) CallWords(_ unsafe.Pointer, w *Words) {
	const s = "forged"
	w.R.P[0], w.R.N[1] = unsafe.Pointer(unsafe.StringData(s)), uint64(len(s))
}

// checkKinds forges the types and uses them as compiled code does.
func checkKinds() error {
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "", kindsSource, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	pkg, err := (&types.Config{IgnoreFuncBodies: true}).Check("main", fset, []*ast.File{file}, nil)
	if err != nil {
		return err
	}
	r := New(nil, saysForged{}, saysForged{})
	forged := map[string]reflect.Type{}
	for _, name := range pkg.Scope().Names() {
		rt, err := r.Type(pkg.Scope().Lookup(name).Type())
		if err != nil {
			return err
		}
		if rt.Name() != name || rt.String() != "main."+name || rt.PkgPath() != "main" {
			return fmt.Errorf("the forged type %s is called %s", name, rt)
		}
		forged[name] = rt
		if s, ok := reflect.Zero(rt).Interface().(fmt.Stringer); ok && s.String() != "forged" {
			return fmt.Errorf("the method of the forged type %s is not called", name)
		} else if !ok && name != "Iface" && name != "Pointer" && name != "Key" {
			return fmt.Errorf("the method of the forged type %s is not found", name)
		}
	}
	for _, use := range []func(map[string]reflect.Type) error{useMap, useChan, useFunc, useInterface, useList, useEqual} {
		if err := use(forged); err != nil {
			return err
		}
	}
	return nil
}

// useMap fills a map until it grows, and empties it.
func useMap(forged map[string]reflect.Type) error {
	const n = 40
	m := reflect.MakeMap(forged["Map"])
	for i := range n {
		m.SetMapIndex(keyOf(forged, i), structOf(forged, "v"))
	}
	found := 0
	for it := m.MapRange(); it.Next(); {
		if it.Value().Field(0).String() == "v" {
			found++
		}
	}
	for i := range n {
		if v := m.MapIndex(keyOf(forged, i)); !v.IsValid() || v.Field(0).String() != "v" {
			return fmt.Errorf("a forged map loses its elements")
		}
		m.SetMapIndex(keyOf(forged, i), reflect.Value{})
	}
	if found != n || m.Len() != 0 {
		return fmt.Errorf("a forged map has %d elements, then %d", found, m.Len())
	}
	return nil
}

func keyOf(forged map[string]reflect.Type, i int) reflect.Value {
	k := reflect.New(forged["Key"]).Elem()
	k.Field(0).SetInt(int64(i))
	k.Field(1).SetString("k")
	return k
}

func structOf(forged map[string]reflect.Type, s string) reflect.Value {
	v := reflect.New(forged["Struct"]).Elem()
	v.Field(0).SetString(s)
	v.Field(2).Field(0).SetInt(3)
	return v
}

func useChan(forged map[string]reflect.Type) error {
	c := reflect.MakeChan(forged["Chan"], 1)
	c.Send(structOf(forged, "sent"))
	v, ok := c.Recv()
	if !ok || v.Field(0).String() != "sent" || c.Len() != 0 || c.Cap() != 1 {
		return fmt.Errorf("a forged channel loses what it is sent")
	}
	return nil
}

func useFunc(forged map[string]reflect.Type) error {
	t := forged["Func"]
	if t.NumIn() != 2 || t.NumOut() != 1 || !t.IsVariadic() || t.In(1).Elem() != forged["Struct"] || t.Out(0) != forged["Struct"] {
		return fmt.Errorf("a forged func type reads %s", t)
	}
	f := reflect.MakeFunc(t, func(args []reflect.Value) []reflect.Value { return []reflect.Value{args[1].Index(0)} })
	if got := f.Call([]reflect.Value{reflect.ValueOf("x"), structOf(forged, "given")})[0]; got.Field(0).String() != "given" {
		return fmt.Errorf("a forged function loses its argument")
	}
	return nil
}

func useInterface(forged map[string]reflect.Type) error {
	i, s := forged["Iface"], forged["Struct"]
	if !s.Implements(i) || forged["Map"].Implements(i) || i.NumMethod() != 2 || Itab(i, s) == nil || Itab(i, forged["Map"]) != nil {
		return fmt.Errorf("a forged interface finds other methods")
	}
	v := reflect.New(i).Elem()
	v.Set(structOf(forged, "held"))
	if v.Elem().Type() != s || v.Elem().Field(0).String() != "held" || v.MethodByName("String").Call(nil)[0].String() != "forged" {
		return fmt.Errorf("a forged interface loses what it holds")
	}
	return nil
}

func useList(forged map[string]reflect.Type) error {
	if forged["Pointer"].Elem() != forged["Struct"] || forged["Array"].Len() != 2 || forged["Array"].Elem() != forged["Struct"] {
		return fmt.Errorf("a forged pointer or array type has other parts")
	}
	list := reflect.MakeSlice(forged["Slice"], 0, 0)
	for range 3 {
		list = reflect.Append(list, structOf(forged, "e"))
	}
	part := list.Slice(1, 3).Convert(forged["Array"])
	if list.Len() != 3 || part.Index(1).Field(0).String() != "e" {
		return fmt.Errorf("a forged slice loses its elements")
	}
	return nil
}

// useEqual compares values as == of interfaces and keys of maps do.
func useEqual(forged map[string]reflect.Type) error {
	a, b, c := structOf(forged, "a").Interface(), structOf(forged, "a").Interface(), structOf(forged, "c").Interface()
	keys := map[any]int{a: 1, c: 2}
	if a != b || a == c || keys[b] != 1 || len(keys) != 2 {
		return fmt.Errorf("forged structs are compared wrongly")
	}
	x, y := reflect.New(forged["Array"]).Elem(), reflect.New(forged["Array"]).Elem()
	y.Index(1).Set(structOf(forged, "a"))
	if x.Interface() == y.Interface() || x.Interface() != reflect.Zero(forged["Array"]).Interface() {
		return fmt.Errorf("forged arrays are compared wrongly")
	}
	return nil
}
