package worker

import (
	"sync/atomic"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
)

// Keeper is an evaluator whose notebook can be saved and brought back in a new
// process.
type Keeper interface {
	// Save returns the notebook as it is now; without a head it is the same as
	// at the last call. It gives up when stop says so.
	Save(stop func() bool) (s execution.Saved, ok bool)
	// Restore brings back what Save returned, in a new evaluator, without
	// running anything of the notebook.
	Restore(head []byte, pieces map[string][]byte) execution.Restored
	// Idle is called when no cell has run for a moment.
	Idle()
}

// saver saves the notebook between cells: at once where that takes little of
// the time that cells take anyway, else when none has run for a moment.
type saver struct {
	keeper  Keeper // nil: nothing is saved
	s       *server
	cells   atomic.Int64 // cells that run
	started atomic.Int64 // when the last one began, in nanoseconds
	wake    chan struct{}
	// owed is the time that saving may take before the next cell begins, need
	// what it will probably take.
	owed, need time.Duration
}

const (
	// idleTime is how long no cell must have run before a save that takes its
	// time.
	idleTime = 150 * time.Millisecond
	// saveShare is the share of the time of cells that saving between them may
	// take.
	saveShare = 20
	// saveAlways is what a save may always take between two cells; of a small
	// notebook it takes a fraction of that.
	saveAlways = 3 * time.Millisecond
	// saveMost bounds what is owed.
	saveMost = time.Second
)

func newSaver(ev any, s *server) *saver {
	v := &saver{s: s, wake: make(chan struct{}, 1)}
	v.keeper, _ = ev.(Keeper)
	if v.keeper != nil {
		go v.run()
	}
	return v
}

func (v *saver) begin() {
	v.cells.Add(1)
	v.started.Store(time.Now().UnixNano())
}

// ended is called after a cell's answer has left.
func (v *saver) ended() {
	v.cells.Add(-1)
	select {
	case v.wake <- struct{}{}:
	default:
	}
}

func (v *saver) run() {
	for range v.wake {
		v.owed = min(saveMost, v.owed+time.Duration(time.Now().UnixNano()-v.started.Load())/saveShare+saveAlways)
		done := false
		if v.owed >= v.need {
			limit := time.Now().Add(v.owed)
			done = v.timed(func() bool { return v.cells.Load() > 0 && time.Now().After(limit) })
		}
		idle := time.NewTimer(idleTime)
		select {
		case <-v.wake:
			idle.Stop()
			select {
			case v.wake <- struct{}{}:
			default:
			}
			continue
		case <-idle.C:
		}
		if v.cells.Load() > 0 {
			continue
		}
		if !done {
			v.timed(func() bool { return v.cells.Load() > 0 })
		}
		v.keeper.Idle()
	}
}

// timed saves and learns how long that takes.
func (v *saver) timed(stop func() bool) (done bool) {
	begun := time.Now()
	done = v.save(stop)
	took := time.Since(begun)
	if done {
		v.need, v.owed = took, max(0, v.owed-took)
	} else {
		v.need = max(v.need, 2*took)
	}
	return done
}

// pieceBytes is how much of a piece goes into one message: an answer must not
// wait long behind it.
const pieceBytes = 256 << 10

func (v *saver) save(stop func() bool) (done bool) {
	saved, ok := v.keeper.Save(stop)
	if !ok || saved.Head == nil {
		return ok
	}
	for name, data := range saved.Pieces {
		for first := true; first || len(data) > 0; first = false {
			n := min(len(data), pieceBytes)
			v.s.conn.Write(ipc.New(ipc.Piece, 0, name, data[:n]))
			data = data[n:]
		}
	}
	v.s.conn.Write(ipc.New(ipc.Saved, 0, saved.Head, saved.All))
	return true
}

func (v *saver) restore(m ipc.Message) ipc.Message {
	if v.keeper == nil {
		return ipc.Message{}
	}
	pieces := map[string][]byte{}
	for i := 1; i+1 < len(m.Parts); i += 2 {
		pieces[m.Part(i)] = m.Bytes(i + 1)
	}
	return ipc.New(ipc.Reply, 0, v.keeper.Restore(m.Bytes(0), pieces))
}
