package rtype

import (
	"fmt"
	"go/types"
	"reflect"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// get returns the type of t; r.mu is held. Named types may come back
// incomplete, but of final size, while they are being made.
func (r *Registry) get(t types.Type) (reflect.Type, error) {
	t = types.Unalias(t)
	if b, ok := t.(*types.Basic); ok {
		return basic(b)
	}
	if rt, ok := r.types.At(t).(reflect.Type); ok {
		return rt, nil
	}
	rt, err := r.make(t)
	if err != nil {
		return nil, err
	}
	// A type that t refers to may have asked for t and so made it.
	if have, ok := r.types.At(t).(reflect.Type); ok {
		return have, nil
	}
	r.set(t, rt)
	return rt, nil
}

func (r *Registry) set(t types.Type, rt reflect.Type) {
	r.types.Set(t, rt)
	_, known := r.back.LoadOrStore(abi.Of(rt), t)
	r.undo = append(r.undo, func() {
		r.types.Delete(t)
		if !known {
			r.back.Delete(abi.Of(rt))
			r.bound.Delete(abi.Of(rt))
		}
	})
}

// make builds a type that the registry does not have. reflect panics for
// types that are too large; that is an error here.
func (r *Registry) make(t types.Type) (rt reflect.Type, err error) {
	defer func() {
		if p := recover(); p != nil {
			rt, err = nil, fmt.Errorf("%v", p)
		}
	}()
	switch t := t.(type) {
	case *types.Named:
		return r.makeNamed(t)
	case *types.Pointer:
		elem, err := r.get(t.Elem())
		if err != nil {
			return nil, err
		}
		return reflect.PointerTo(elem), nil
	case *types.Slice:
		elem, err := r.get(t.Elem())
		if err != nil {
			return nil, err
		}
		return reflect.SliceOf(elem), nil
	case *types.Array:
		elem, err := r.get(t.Elem())
		if err != nil {
			return nil, err
		}
		return reflect.ArrayOf(int(t.Len()), elem), nil
	case *types.Chan:
		elem, err := r.get(t.Elem())
		if err != nil {
			return nil, err
		}
		return reflect.ChanOf(chanDir(t.Dir()), elem), nil
	case *types.Map:
		key, err := r.get(t.Key())
		if err != nil {
			return nil, err
		}
		elem, err := r.get(t.Elem())
		if err != nil {
			return nil, err
		}
		return reflect.MapOf(key, elem), nil
	case *types.Signature:
		if t.TypeParams().Len() > 0 {
			return nil, fmt.Errorf("%s is a generic function", t)
		}
		in, err := r.tuple(t.Params())
		if err != nil {
			return nil, err
		}
		out, err := r.tuple(t.Results())
		if err != nil {
			return nil, err
		}
		return reflect.FuncOf(in, out, t.Variadic()), nil
	case *types.Struct:
		return r.makeStruct(t)
	case *types.Interface:
		if t.Empty() {
			return anyType, nil
		}
		return r.makeInterface(t)
	}
	return nil, notAtRunTime(t)
}

func (r *Registry) tuple(t *types.Tuple) ([]reflect.Type, error) {
	ts := make([]reflect.Type, t.Len())
	for i := range ts {
		var err error
		if ts[i], err = r.get(t.At(i).Type()); err != nil {
			return nil, err
		}
	}
	return ts, nil
}

func chanDir(d types.ChanDir) reflect.ChanDir {
	switch d {
	case types.SendOnly:
		return reflect.SendDir
	case types.RecvOnly:
		return reflect.RecvDir
	}
	return reflect.BothDir
}

// compiledNamed returns the type the compiler made for t, or nil.
func (r *Registry) compiledNamed(t *types.Named) reflect.Type {
	obj := t.Obj()
	if obj.Pkg() == nil {
		return errorType // comparable is no type of a value
	}
	if p := obj.Parent(); p != nil && p != obj.Pkg().Scope() {
		return nil // local to a function
	}
	name := obj.Name() + typeArgs(t)
	rt, compiled := r.resolve(obj.Pkg().Path(), name)
	if rt != nil || !compiled {
		return rt
	}
	for i := range t.TypeArgs().Len() {
		if !r.allCompiled(t.TypeArgs().At(i)) {
			return nil
		}
	}
	for _, p := range abi.TypesByString("*" + obj.Pkg().Name() + "." + name) {
		if elem := p.Reflect().Elem(); elem.PkgPath() == obj.Pkg().Path() {
			return elem
		}
	}
	return nil
}

// allCompiled reports whether all named types in t come from the binary. The
// interpreter's package main is not the binary's.
func (r *Registry) allCompiled(t types.Type) bool {
	switch t := types.Unalias(t).(type) {
	case *types.Basic:
		return true
	case *types.Named:
		if t.Obj().Pkg() != nil {
			if _, compiled := r.resolve(t.Obj().Pkg().Path(), t.Obj().Name()); !compiled {
				return false
			}
		}
		for i := range t.TypeArgs().Len() {
			if !r.allCompiled(t.TypeArgs().At(i)) {
				return false
			}
		}
		return true
	case *types.Map:
		return r.allCompiled(t.Key()) && r.allCompiled(t.Elem())
	case interface{ Elem() types.Type }: // pointer, slice, array, channel
		return r.allCompiled(t.Elem())
	case *types.Interface:
		return t.Empty()
	}
	return false
}
