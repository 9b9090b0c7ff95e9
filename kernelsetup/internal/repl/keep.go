package repl

import (
	"encoding/json"
	"hash/maphash"
	"os"
	"runtime/debug"
	"slices"
	"sort"
	"strconv"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/help"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/snapshot"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/stdstreams"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// keeping is what saving needs to know of the last time.
type keeping struct {
	seed  maphash.Seed
	sent  map[string]bool // pieces that the other process has
	head  uint64
	saved bool
}

// kept is a saved notebook but for its values, which are pieces of their own.
type kept struct {
	Interpreter interpreter.Saved
	Groups      []keptGroup
}

type keptGroup struct {
	Names []string
	Piece string
}

// Save returns what another process needs to go on with the notebook: pieces
// that were not among those of the last time, and all else; nil where nothing
// is new. ok is false while a cell runs and when stop told it to give up.
func (ev *Evaluator) Save(stop func() bool) (s execution.Saved, ok bool) {
	saved, ok := ev.interpreter.Save(stop)
	if !ok {
		return s, false
	}
	k := &ev.keeping
	if k.sent == nil {
		k.seed, k.sent = maphash.MakeSeed(), map[string]bool{}
	}
	all := kept{Interpreter: saved}
	now := map[string]bool{}
	s.Pieces = map[string][]byte{}
	for _, g := range saved.Groups {
		name := strconv.FormatUint(maphash.Bytes(k.seed, g.Data), 36) + "-" + strconv.Itoa(len(g.Data))
		all.Groups = append(all.Groups, keptGroup{g.Names, name})
		now[name] = true
		if !k.sent[name] {
			s.Pieces[name] = g.Data
		}
	}
	k.sent = now
	for name := range now {
		s.All = append(s.All, name)
	}
	sort.Strings(s.All)
	s.Head, _ = json.Marshal(all)
	h := maphash.Bytes(k.seed, s.Head)
	if k.saved && h == k.head {
		return execution.Saved{}, true
	}
	k.head, k.saved = h, true
	return s, true
}

// Restore brings back what Save returned, in an evaluator that has run
// nothing.
func (ev *Evaluator) Restore(head []byte, pieces map[string][]byte) execution.Restored {
	var all kept
	if err := json.Unmarshal(head, &all); err != nil {
		return execution.Restored{}
	}
	saved := all.Interpreter
	for _, g := range all.Groups {
		saved.Groups = append(saved.Groups, snapshot.Group{Names: g.Names, Data: pieces[g.Piece]})
	}
	r := execution.Restored{After: saved.After}
	for {
		b := ev.interpreter.Restore(saved)
		if len(b.Failed) == 0 {
			r.Variables, r.Declared = b.Variables, b.Declared
			for _, l := range b.Left {
				r.Gone = append(r.Gone, execution.Gone(l))
			}
			return r
		}
		// Some values did not fit their variables: once more without these.
		var groups []snapshot.Group
		bad := map[string]bool{}
		for i, g := range saved.Groups {
			if !slices.Contains(b.Failed, i) {
				groups = append(groups, g)
				continue
			}
			for _, name := range g.Names {
				bad[name] = true
				saved.Left = append(saved.Left, snapshot.Left{Name: name, Why: "its value could not be read back"})
			}
		}
		saved.Groups = groups
		saved.Variables = slices.DeleteFunc(saved.Variables, func(v interpreter.SavedVariable) bool { return bad[v.Name] })
		if ev.renew() != nil {
			return r
		}
	}
}

// renew begins with an empty notebook.
func (ev *Evaluator) renew() error {
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default(), Dir: ev.dir, Drained: stdstreams.Drained})
	if err != nil {
		return err
	}
	if ev.late != nil {
		e.LateOutput(ev.late)
	}
	ev.interpreter, ev.assistant = e, help.New(e, symbols.Default(), ev.dir)
	return nil
}

// idleMemory is how much memory the process may take for none of it to be
// given back while no cell runs: finding out what is used takes a moment.
const idleMemory = 160 << 20

// Idle gives memory that is no longer used back to the system.
func (ev *Evaluator) Idle() {
	if taken, ok := memory.Resident(os.Getpid()); !ok || taken > idleMemory {
		debug.FreeOSMemory()
	}
}
