package vm

import (
	"iter"
	"runtime"
	"sync"
	"unsafe"
	"weak"

	"golang.org/x/tools/go/ssa"
)

// Some things live as long as the program still has them, and the machine
// must find them until then: function literals, which calls reach through
// closures, and variables that cells have declared anew, which old code reads.

// literals are the machine's sides of function literals that are alive.
type literals map[*ssa.Function]weak.Pointer[Func]

func (l literals) at(fn *ssa.Function) *Func {
	if w, ok := l[fn]; ok {
		return w.Value()
	}
	return nil
}

// add enters f until it is unreachable. The machine's lock must be held.
func (l *literals) add(m *Machine, fn *ssa.Function, f *Func) {
	if *l == nil {
		*l = literals{}
	}
	w, owner := weak.Make(f), weak.Make(m) // which must not live for its literals
	(*l)[fn] = w
	runtime.AddCleanup(f, func(fn *ssa.Function) {
		m := owner.Value()
		if m == nil {
			return
		}
		m.mu.Lock()
		defer m.mu.Unlock()
		if m.literals[fn] == w {
			delete(m.literals, fn)
		}
	}, fn)
}

// allFuncs are all functions that can be called. The machine's lock must be
// held.
func (m *Machine) allFuncs() iter.Seq[*Func] {
	return func(yield func(*Func) bool) {
		for _, f := range m.funcs {
			if !yield(f) {
				return
			}
		}
		for _, f := range m.old.keys() {
			if !yield(f) {
				return
			}
		}
		for _, w := range m.literals {
			if f := w.Value(); f != nil && !yield(f) {
				return
			}
		}
	}
}

// Literals returns the function literals that are alive: those that somebody
// may still call, and some of which the collector doesn't know yet that nobody
// can.
func (m *Machine) Literals() []*ssa.Function {
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []*ssa.Function
	for fn, w := range m.literals {
		if w.Value() != nil {
			out = append(out, fn)
		}
	}
	return out
}

// fading is a map whose keys are not kept alive by being in it.
type fading[K, V any] struct {
	mu   sync.Mutex
	list map[weak.Pointer[K]]V
}

func (f *fading[K, V]) at(k *K) (v V, ok bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.list) == 0 {
		return v, false
	}
	v, ok = f.list[weak.Make(k)]
	return v, ok
}

// add keeps v until nothing mentions k.
func (f *fading[K, V]) add(k *K, v V) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.list == nil {
		f.list = map[weak.Pointer[K]]V{}
	}
	w, owner := weak.Make(k), weak.Make(f) // which must not live for its keys
	f.list[w] = v
	runtime.AddCleanup(k, func(w weak.Pointer[K]) {
		if f := owner.Value(); f != nil {
			f.mu.Lock()
			defer f.mu.Unlock()
			delete(f.list, w)
		}
	}, w)
}

// keys are those that are alive.
func (f *fading[K, V]) keys() (out []*K) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for w := range f.list {
		if k := w.Value(); k != nil {
			out = append(out, k)
		}
	}
	return out
}

// Old is a function as it was before it was declared anew.
type Old struct{ fn *Func }

// Retire makes calls of a function look for its code anew and returns it, to
// see whether a goroutine is still in it.
func (m *Machine) Retire(fn *ssa.Function) Old {
	m.mu.Lock()
	defer m.mu.Unlock()
	f, ok := m.funcs[fn]
	if !ok {
		return Old{}
	}
	f.code.Store(nil)
	return Old{f}
}

// Running reports whether some goroutine of a cell is still in the function, or
// in what that has replaced.
func (m *Machine) Running(o Old) bool {
	if o.fn == nil {
		return false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	found := false
	now := o.fn.final()
	m.frames(func(c *code) {
		if c.fn != nil && c.fn.final() == now && (c.fn != now || now == o.fn) {
			found = true
		}
	})
	return found
}

// OnStacks returns the functions that goroutines of cells are in.
func (m *Machine) OnStacks() map[*ssa.Function]bool {
	out := map[*ssa.Function]bool{}
	m.frames(func(c *code) {
		if c.fn == nil {
			return
		}
		if fn := c.fn.function(); fn != nil {
			out[fn] = true
		}
	})
	return out
}

// frames looks at the calls in progress of goroutines, which go on meanwhile:
// what it sees was so a moment ago.
func (m *Machine) frames(see func(*code)) {
	m.threads.Range(func(k, _ any) bool {
		for _, c := range k.(*Thread).inProgress() {
			see(c)
		}
		return true
	})
}

// inProgress returns the code of the calls of a thread, while it may be
// running.
//
//go:norace
func (t *Thread) inProgress() (out []*code) {
	for _, fr := range t.calls() {
		if c := fr.code; c != nil {
			out = append(out, c)
		}
	}
	return out
}

// calls returns the calls in progress of a thread that may be running.
//
//go:norace
func (t *Thread) calls() []frame {
	for range 3 { // the list is replaced as it grows
		list := t.list()
		if again := t.list(); len(list) == len(again) && unsafe.SliceData(list) == unsafe.SliceData(again) {
			return list[:max(0, min(t.top+1, len(list)))]
		}
	}
	return nil
}

//go:norace
//go:noinline
func (t *Thread) list() []frame { return t.frames }
