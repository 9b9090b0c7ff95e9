// Package parallel does many like things on all processors: files that are read,
// drives that are cut, answers without one drive.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each does n things that do not touch one another, as many at once as there are
// processors, and returns when all are done. Where one panics, the panic of the
// first such one is the caller's, after the others: a goroutine of its own would end
// the program.
func Each(n int, do func(i int)) {
	var next atomic.Int64
	var done sync.WaitGroup
	panics := make([]any, n)
	for range min(n, runtime.GOMAXPROCS(0)) {
		done.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				panics[i] = caught(func() { do(i) })
			}
		})
	}
	done.Wait()
	for _, p := range panics {
		if p != nil {
			panic(p)
		}
	}
}

// caught returns what do panics with; nil where it does not.
func caught(do func()) (value any) {
	defer func() { value = recover() }()
	do()
	return nil
}
