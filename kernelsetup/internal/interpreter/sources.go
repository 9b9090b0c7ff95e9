package interpreter

import (
	"go/ast"
	"runtime"
	"sync"
	"weak"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// sources knows the cells that code was made of, and which of them nothing is
// left of: their positions need not be found any more.
type sources struct {
	mu   sync.Mutex
	held map[*meaning.Source]int // how many packages made of it live
	free []*meaning.Source
	// keep tells that records are made, which find positions for good.
	keep bool
}

// sweepAt is how many free sources are worth looking at the notebook's
// declarations for.
const sweepAt = 64

// hold keeps sources for as long as anything of the package lives.
func (l *sources) hold(p *ssa.Package, of []*meaning.Source) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.held == nil {
		l.held = map[*meaning.Source]int{}
	}
	for _, src := range of {
		l.held[src]++
	}
	owner := weak.Make(l) // which must not live for its packages
	runtime.AddCleanup(p, func(of []*meaning.Source) {
		if l := owner.Value(); l != nil {
			l.release(of)
		}
	}, of)
}

func (l *sources) release(of []*meaning.Source) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, src := range of {
		if l.held[src]--; l.held[src] == 0 {
			delete(l.held, src)
			l.free = append(l.free, src)
		}
	}
}

// drop says of a source that no code was made of it.
func (l *sources) drop(src *meaning.Source) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.free = append(l.free, src)
}

// take returns the free sources when there are enough of them.
func (l *sources) take() (out []*meaning.Source) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.keep || len(l.free) < sweepAt {
		return nil
	}
	for _, src := range l.free {
		if l.held[src] == 0 {
			out = append(out, src)
		}
	}
	l.free = nil
	return out
}

// sweep forgets the positions of cells that nothing is left of.
func (s *session) sweep() {
	free := s.sources.take()
	if free == nil {
		return
	}
	declared := map[*meaning.Source]bool{}
	for _, u := range s.units {
		declared[u.src], declared[u.along], declared[s.sourceOf(u.decl)] = true, true, true
	}
	for _, src := range free {
		if declared[src] { // and will not be for ever
			s.sources.drop(src)
		} else {
			s.place.Remove(src)
		}
	}
}

// sourceOf returns the cell that a declaration was parsed from.
func (s *session) sourceOf(d ast.Decl) *meaning.Source {
	src, _ := s.place.Find(d.Pos())
	return src
}
