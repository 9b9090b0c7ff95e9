//go:build ignore

package reflect

func TypeFor[T any]() Type { return TypeOf((*T)(nil)).Elem() }

func TypeAssert[T any](v Value) (T, bool) {
	if !v.IsValid() {
		panic(&ValueError{"reflect.TypeAssert", Invalid})
	}
	if !v.CanInterface() {
		panic("reflect.TypeAssert: cannot return value obtained from unexported field or method")
	}
	t, ok := v.Interface().(T)
	return t, ok
}
