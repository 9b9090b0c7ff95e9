package interpreter

import (
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
)

// Left is what a cell that has ended has left running.
type Left struct {
	// Cell names the cell; empty: it is not known which.
	Cell  string
	Since time.Time
	// Goroutines are those it has started, or that call its functions; Timers
	// are calls that are due later.
	Goroutines, Timers int
	// Run identifies the execution of the cell.
	Run *vm.Run
}

// Left lists what ended cells have left running.
func (e *Interpreter) Left() []Left {
	var list []Left
	for _, o := range e.machine.Owned() {
		list = append(list, Left{Cell: o.Run.Name(), Since: o.Run.Born(), Goroutines: o.Goroutines, Timers: o.Timers, Run: o.Run})
	}
	return list
}

// Release stops what ended cells have left running, as an interrupt stops a
// cell: goroutines at their next loop, call or wait. Calls of cells' functions
// by compiled code fail until the next cell begins.
func (e *Interpreter) Release() { e.machine.Release() }

// GiveUp abandons what has not stopped after Release: it dies as soon as it
// comes back from compiled code.
func (e *Interpreter) GiveUp() { e.machine.GiveUp() }

// LateOutput sets what takes the text that goroutines write to "stdout" or
// "stderr" after their cell has ended.
func (e *Interpreter) LateOutput(f func(cell, stream, text string)) {
	e.machine.LateOutput(func(r *vm.Run, stream, text string) { f(r.Name(), stream, text) })
}
