package vm

import (
	"sync/atomic"

	"golang.org/x/tools/go/ssa"
)

// lineage is what the functions that cells have declared one after the other
// by one name have in common: which of them calls run now. None of those before
// is kept alive by it.
type lineage struct {
	now atomic.Pointer[Func]
	// next is the lineage that this one has become part of.
	next atomic.Pointer[lineage]
	// borrowed are the functions that have taken the code of now for theirs.
	borrowed []*Func
}

func (l *lineage) last() *lineage {
	for next := l.next.Load(); next != nil; next = l.next.Load() {
		l = next
	}
	return l
}

// final returns the function that calls of f run: itself, or what has replaced
// it.
func (f *Func) final() *Func {
	l := f.line.Load()
	if l == nil {
		return f
	}
	return l.last().now.Load()
}

// function returns what calls of f run in SSA form; nil for code that is no
// function's.
func (f *Func) function() *ssa.Function { return f.final().ssa }

// succeed makes calls of f, and of what f had replaced, run n. The machine's
// lock must be held.
func (f *Func) succeed(n *Func) {
	mine, other := f.line.Load(), n.line.Load()
	if mine != nil {
		mine = mine.last()
	}
	switch {
	case mine != nil && mine.now.Load() == f && other == nil:
		mine.drop()
		mine.now.Store(n)
		n.line.Store(mine)
	case mine != nil && mine.now.Load() == f:
		mine.drop()
		mine.next.Store(other.last())
	case other == nil:
		l := new(lineage)
		l.now.Store(n)
		n.line.Store(l)
		f.line.Store(l)
	default: // f alone, whatever has replaced it before
		f.line.Store(other.last())
	}
	f.code.Store(nil)
	n.dropCode()
}

// dropCode makes f, and what it has replaced, look for its code again.
func (f *Func) dropCode() {
	f.code.Store(nil)
	if l := f.line.Load(); l != nil {
		if l = l.last(); l.now.Load() == f {
			l.drop()
		}
	}
}

// drop takes the code back from those that have borrowed it.
func (l *lineage) drop() {
	for _, f := range l.borrowed {
		f.code.Store(nil)
	}
	l.borrowed = nil
}

// lend gives f the code of the function that calls of f run.
func (f *Func) lend(c *code) {
	if l := f.line.Load(); l != nil && f.code.Load() == nil {
		l = l.last()
		l.borrowed = append(l.borrowed, f)
	}
	f.code.Store(c)
}
