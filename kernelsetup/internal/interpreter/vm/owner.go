package vm

import (
	"context"
	"runtime"
	"runtime/pprof"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Compiled code starts goroutines of its own that call functions of cells: a
// server has one for each connection. Which run they come from shows in their
// label in profiles, which every goroutine inherits.

// label makes the running goroutine, and all that it starts, r's own.
func (rs *runs) label(r *Run) {
	pprof.SetGoroutineLabels(pprof.WithLabels(context.Background(), pprof.Labels()))
	label := abi.ProfLabel()
	if label == nil {
		return
	}
	rs.owners.Store(uintptr(label), r)
	// When no goroutine has the label any more, its address may become another
	// one's.
	runtime.AddCleanup((*byte)(label), func(at uintptr) { rs.owners.CompareAndDelete(at, r) }, uintptr(label))
}

// owner returns the run from which the running goroutine comes, nil where that
// is not known: the cell may have given it other labels.
func (rs *runs) owner() *Run {
	label := abi.ProfLabel()
	if label == nil {
		return nil
	}
	r, _ := rs.owners.Load(uintptr(label))
	run, _ := r.(*Run)
	return run
}
