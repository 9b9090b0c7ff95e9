package notebook

// Must returns v, or panics with err where it is not nil. In a notebook a
// panic with an error fails the cell with the error's own text.
func Must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Must0 panics with err where it is not nil.
func Must0(err error) {
	if err != nil {
		panic(err)
	}
}

// Must2 returns two values, or panics with err where it is not nil.
func Must2[T, U any](t T, u U, err error) (T, U) {
	if err != nil {
		panic(err)
	}
	return t, u
}
