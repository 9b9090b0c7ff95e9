// Package interpreter runs cells of Go. It checks them with go/types, lowers them
// with golang.org/x/tools/go/ssa and executes the result on a machine of its
// own; compiled packages are called through a precompiled.Library. It knows
// nothing of Jupyter.
//
// A notebook is one growing package main. What a cell declares at its top
// level stays; declaring a name again replaces it.
package interpreter

import (
	"context"
	"go/types"
	"reflect"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
)

// Options configure an Interpreter. Only Library is required.
type Options struct {
	// Library holds the compiled packages that cells can import.
	Library precompiled.Library
	// Dir is the notebook's folder; the user's own packages are loaded from
	// the module around it. Empty: none.
	Dir string
	// Drained waits until what was written to standard output (1) or standard
	// error (2) has been read, so that the two keep their order; nil: they
	// need not.
	Drained func(fd int)
	// Limits bound what a cell may take; zero fields take their defaults.
	Limits Limits
}

// Limits keep one cell from bringing the process down.
type Limits struct {
	// Depth is the largest number of nested calls. Default 1,000,000.
	Depth int
	// Memory is the largest single allocation in bytes. Default: three
	// quarters of what the machine has free, at most Total.
	Memory uint64
	// Total is how much memory the process may take in bytes while a cell
	// runs. Default: what MemoryVariable says, else three quarters of what
	// the machine or its control group has.
	Total uint64
	// Grace is how long Execute waits, after its context is cancelled, for
	// the cell to stop by itself before it abandons it. Default 150 ms.
	Grace time.Duration
}

// Cell is one piece of source handed in at once.
type Cell struct {
	// Name is shown in errors, for example "cell 3".
	Name string
	// Source is the text as the user wrote it.
	Source string
}

// Result is what became of a cell.
type Result struct {
	// Values are those of the last expression, one per result of a call, but
	// for a nil error behind others;
	// empty when the cell ends in something else, in a call without results,
	// in a print or in a semicolon.
	Values []Value
	// wentWell says that such a nil error was left out.
	wentWell bool
	// Err is nil when the cell ran to its end.
	Err *Error
	// Notices tell what the cell changed beyond itself: variables dropped,
	// functions that no longer compile, goroutines that died.
	Notices []string
	// Declared lists the names the cell declared, in source order.
	Declared []string
	// Imported lists the import paths that the cell imported, in order.
	Imported []string
}

// Value is one value of a cell's last expression.
type Value struct {
	// Value holds the value with its run-time type. It is invalid for a nil
	// interface.
	Value reflect.Value
	// Type is the static type of the expression.
	Type types.Type
	// Text is the expression's source.
	Text string
	// From tells where the value comes from; its Function says what it is,
	// for example "second result of os.Open(…)".
	From Call
}

// Failing returns the last value and its error where that fails the cell: a
// non-nil error in the last place. One before a nil error is shown like any value.
func (r Result) Failing() (Value, error) {
	if len(r.Values) == 0 || r.wentWell {
		return Value{}, nil
	}
	last := r.Values[len(r.Values)-1]
	return last, last.Err()
}

// Err returns the value as a non-nil error, where it is one.
func (v Value) Err() error {
	if !v.Value.IsValid() || !v.Value.CanInterface() {
		return nil
	}
	if !types.Implements(v.Type, errorInterface) {
		return nil
	}
	if v.Value.Kind() == reflect.Pointer && v.Value.IsNil() {
		return nil
	}
	err, _ := v.Value.Interface().(error)
	return err
}

var errorInterface = types.Universe.Lookup("error").Type().Underlying().(*types.Interface)

// Interpreter holds one notebook's state. Its methods may be called from several
// goroutines; cells run one at a time.
type Interpreter struct {
	session
}

// New returns an interpreter with an empty notebook.
func New(opt Options) (*Interpreter, error) {
	e := new(Interpreter)
	if err := e.init(opt); err != nil {
		return nil, err
	}
	return e, nil
}

// Execute checks and runs a cell. When ctx is cancelled the cell is
// interrupted: Execute returns within Limits.Grace in any case.
func (e *Interpreter) Execute(ctx context.Context, cell Cell) Result {
	return e.execute(ctx, cell)
}
