package rtype

import (
	"fmt"
	"go/types"
	"reflect"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Adopt lets types that were declared again, unchanged, go on as what they
// were: values made before stay values of the new types. pairs maps each new
// type to the old one of the same name; for generic types both are origins.
//
// A pair is adopted where both have the same underlying type and the same
// methods (bodies may differ), types of the other adopted pairs taken as the
// same. Methods are asked for again at their next call. Adopt must come
// before Type is asked for a new type, and returns the pairs adopted.
func (r *Registry) Adopt(pairs map[*types.Named]*types.Named) map[*types.Named]*types.Named {
	r.mu.Lock()
	defer r.mu.Unlock()
	same := sameness{}
	for now, old := range pairs {
		same[now.Obj()] = old.Obj()
	}
	for changed := true; changed; {
		changed = false
		for now, old := range pairs {
			if same[now.Obj()] == old.Obj() && !same.declarations(now, old) {
				delete(same, now.Obj())
				changed = true
			}
		}
	}
	adopted := map[*types.Named]*types.Named{}
	for now, old := range pairs {
		if same[now.Obj()] != old.Obj() {
			continue
		}
		adopted[now] = old
		if now.TypeParams().Len() > 0 {
			r.origins[now.Obj()] = r.origin(old.Obj())
		} else if rt, ok := r.types.At(old).(reflect.Type); ok {
			r.enter(now, rt)
		}
	}
	// Methods last: their selections may ask for any of the new types.
	for now := range adopted {
		if rt, ok := r.types.At(now).(reflect.Type); ok {
			r.adoptMethods(now, rt)
		}
	}
	return adopted
}

// enter makes t, from now on the type that rt stands for, known as rt.
func (r *Registry) enter(t types.Type, rt reflect.Type) {
	p := types.NewPointer(t)
	r.types.Set(t, rt)
	r.types.Set(p, reflect.PointerTo(rt))
	r.back.Store(abi.Of(rt), t)
	r.back.Store(abi.Of(reflect.PointerTo(rt)), p)
}

// adoptMethods binds the methods of rt and its pointer to those of t.
func (r *Registry) adoptMethods(t types.Type, rt reflect.Type) {
	for _, t := range []types.Type{t, types.NewPointer(t)} {
		ms, ok := r.bound.Load(abi.Of(rt))
		if !ok {
			return
		}
		set := r.msets.MethodSet(t)
		for i := range set.Len() {
			if m := ms.(map[string]*method)[set.At(i).Obj().Id()]; m != nil {
				m.rebind(set.At(i))
			}
		}
		rt = reflect.PointerTo(rt)
	}
}

// origin returns the first generic type that obj goes on for.
func (r *Registry) origin(obj *types.TypeName) *types.TypeName {
	if first, ok := r.origins[obj]; ok {
		return first
	}
	return obj
}

// instance returns the type of an instance equal to t that the registry has
// from an adopted declaration, or nil.
func (r *Registry) instance(t *types.Named) (reflect.Type, error) {
	key, err := r.instanceKey(t)
	if err != nil {
		return nil, err
	}
	if rt, ok := r.types.At(t).(reflect.Type); ok {
		return rt, nil // made by a type argument
	}
	rt := r.instances[key]
	if rt != nil {
		r.enter(t, rt)
		r.adoptMethods(t, rt)
	}
	return rt, nil
}

func (r *Registry) addInstance(t *types.Named, rt reflect.Type) {
	key, err := r.instanceKey(t)
	if err != nil {
		return // instance has failed already
	}
	r.instances[key] = rt
	r.undo = append(r.undo, func() { delete(r.instances, key) })
}

// instanceKey identifies the origin and the run-time types of the arguments.
func (r *Registry) instanceKey(t *types.Named) (string, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "%p", r.origin(t.Origin().Obj()))
	for i := range t.TypeArgs().Len() {
		rt, err := r.get(t.TypeArgs().At(i))
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&b, " %p", abi.Of(rt))
	}
	return b.String(), nil
}

func (r *Registry) addUnnamed(str string, rt reflect.Type) {
	before := r.unnamed[str]
	r.unnamed[str] = append(before[:len(before):len(before)], rt)
	r.undo = append(r.undo, func() { r.unnamed[str] = before })
}
