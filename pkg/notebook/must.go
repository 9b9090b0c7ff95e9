package notebook

import "errors"

// Must returns v, or panics with err where it is not nil. In a notebook that
// fails the cell with the error's own text. What is recovered wraps err.
//
// A partial error, one with a method Partial() bool that returns true, stands
// beside a usable value: five drives of six. It is shown, and v is returned.
func Must[T any](v T, err error) T {
	if err != nil && !tellPartial(err) {
		fail(err)
	}
	return v
}

// failed is an error that ends a cell and is no fault of code: it is for the
// person with the file, and no word of a panic stands before it.
type failed struct{ error }

func (f failed) Unwrap() error { return f.error }

// StopsCell tells the kernel what this is.
func (failed) StopsCell() {}

func fail(err error) { panic(failed{err}) }

// tellPartial shows the error if it is a partial one.
func tellPartial(err error) bool {
	var p interface {
		error
		Partial() bool
	}
	if !errors.As(err, &p) || !p.Partial() {
		return false
	}
	Show(TextBundle("Note: " + err.Error()))
	return true
}

// Must0 panics with err where it is not nil.
func Must0(err error) {
	if err != nil {
		fail(err)
	}
}

// Must2 returns two values, or panics with err where it is not nil.
func Must2[T, U any](t T, u U, err error) (T, U) {
	if err != nil {
		fail(err)
	}
	return t, u
}

// Try returns v, or the error as a text to show: for a step that the data of a
// drive may not allow, so that the cells after it still run.
func Try(v any, err error) any {
	if err != nil {
		return TextBundle(err.Error())
	}
	return v
}
