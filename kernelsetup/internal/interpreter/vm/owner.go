package vm

import (
	"context"
	"runtime"
	"runtime/pprof"
	"sync"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Compiled code starts goroutines of its own that call functions of cells: a
// server has one for each connection. Which run they come from shows in their
// label in profiles, which every goroutine inherits.

// owners has the *Run by the address of the label that its goroutines have.
var owners sync.Map

// label makes the running goroutine, and all that it starts, r's own.
func (r *Run) label() {
	pprof.SetGoroutineLabels(pprof.WithLabels(context.Background(), pprof.Labels()))
	label := abi.ProfLabel()
	if label == nil {
		return
	}
	owners.Store(uintptr(label), r)
	// When no goroutine has the label any more, its address may become another
	// one's.
	runtime.AddCleanup((*byte)(label), func(at uintptr) { owners.CompareAndDelete(at, r) }, uintptr(label))
}

// owner returns the run from which the running goroutine comes, nil where that
// is not known: the cell may have given it other labels.
func owner() *Run {
	label := abi.ProfLabel()
	if label == nil {
		return nil
	}
	r, _ := owners.Load(uintptr(label))
	run, _ := r.(*Run)
	return run
}

// late returns what takes text that code of a run, which may be nil, writes to
// a standard stream after its end; nil for text that goes where it is written
// to.
func (r *Run) late(stream string) func(text string) {
	if r == nil || stream == "" || r.name.Load() == nil {
		return nil
	}
	take := r.m.runs.lateOutput.Load()
	if take == nil {
		return nil
	}
	select {
	case <-r.finished:
		return func(text string) { (*take)(r, stream, text) }
	default:
		return nil
	}
}
