package evaluate

import (
	"encoding/json"
	"hash/maphash"
	"os"
	"runtime/debug"
	"slices"
	"sort"
	"strconv"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/assist"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/capture"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/engine"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/plaindata"
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
	Engine engine.Saved
	Groups []keptGroup
}

type keptGroup struct {
	Names []string
	Piece string
}

// Save returns what another process needs to go on with the notebook: pieces
// that were not among those of the last time, and all else; nil where nothing
// is new. ok is false while a cell runs and when stop told it to give up.
func (ev *Evaluator) Save(stop func() bool) (s cell.Saved, ok bool) {
	saved, ok := ev.engine.Save(stop)
	if !ok {
		return s, false
	}
	k := &ev.keeping
	if k.sent == nil {
		k.seed, k.sent = maphash.MakeSeed(), map[string]bool{}
	}
	all := kept{Engine: saved}
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
		return cell.Saved{}, true
	}
	k.head, k.saved = h, true
	return s, true
}

// Restore brings back what Save returned, in an evaluator that has run
// nothing.
func (ev *Evaluator) Restore(head []byte, pieces map[string][]byte) cell.Restored {
	var all kept
	if err := json.Unmarshal(head, &all); err != nil {
		return cell.Restored{}
	}
	saved := all.Engine
	for _, g := range all.Groups {
		saved.Groups = append(saved.Groups, plaindata.Group{Names: g.Names, Data: pieces[g.Piece]})
	}
	r := cell.Restored{After: saved.After}
	for {
		b := ev.engine.Restore(saved)
		if len(b.Failed) == 0 {
			r.Variables, r.Declared = b.Variables, b.Declared
			for _, l := range b.Left {
				r.Gone = append(r.Gone, cell.Gone(l))
			}
			return r
		}
		// Some values did not fit their variables: once more without these.
		var groups []plaindata.Group
		bad := map[string]bool{}
		for i, g := range saved.Groups {
			if !slices.Contains(b.Failed, i) {
				groups = append(groups, g)
				continue
			}
			for _, name := range g.Names {
				bad[name] = true
				saved.Left = append(saved.Left, plaindata.Left{Name: name, Why: "its value could not be read back"})
			}
		}
		saved.Groups = groups
		saved.Variables = slices.DeleteFunc(saved.Variables, func(v engine.SavedVariable) bool { return bad[v.Name] })
		if ev.renew() != nil {
			return r
		}
	}
}

// renew begins with an empty notebook.
func (ev *Evaluator) renew() error {
	e, err := engine.New(engine.Options{Library: symbols.Default(), Dir: ev.dir, Drained: capture.Drained})
	if err != nil {
		return err
	}
	if ev.late != nil {
		e.LateOutput(ev.late)
	}
	ev.engine, ev.assistant = e, assist.New(e, symbols.Default(), ev.dir)
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
