package interpreter

import (
	"context"
	"fmt"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
)

// PatienceWithText is how long a value's own methods may take to word it;
// only tests change it.
var PatienceWithText = time.Second

// Visit says how long code of cells may run that is called from outside of
// their execution.
type Visit struct {
	// Limit bounds the time; zero: only the context does.
	Limit time.Duration
	// Compiled lets compiled code take longer than Limit, such as the drawing
	// of a plot: only while code of a cell runs is the time up.
	Compiled bool
}

// visitLook is how often a visit whose time is up is looked at again.
const visitLook = 20 * time.Millisecond

// Guarded runs f, which may call methods and functions that cells declare, on
// a goroutine of its own. It is the gate for all such calls that are not part
// of a cell's execution: showing values, wording errors, answering a slider.
// It returns nil when f has returned; else f panicked, ended its goroutine,
// took too long, or ctx was cancelled, and what f was to set must not be
// looked at, for it may still run. A panic's value is in Error.Value, and not
// worded by its own methods yet: TextOf does that. Called by a cell's own
// code, the visit ends with the cell.
func (e *Interpreter) Guarded(ctx context.Context, v Visit, f func()) *Error {
	return e.session.guarded(ctx, v, f)
}

// Close bars code of cells from the calling goroutine until open is called.
// Whoever leads a session closes the goroutines it answers on: what reaches
// them against all intention panics there instead of running.
func (e *Interpreter) Close() (open func()) { return e.session.machine.Close() }

func (s *session) guarded(ctx context.Context, v Visit, f func()) *Error {
	var ends <-chan struct{}
	if host := s.machine.Host(); host != nil {
		select {
		case <-host.Stopping(): // its end is what is being told
		default:
			ends = host.Stopping()
		}
	}
	run := s.machine.Guest(f, v.Limit > 0)
	var up <-chan time.Time
	if v.Limit > 0 {
		timer := time.NewTimer(v.Limit)
		defer timer.Stop()
		up = timer.C
	}
	for {
		select {
		case <-run.Finished():
			return s.worded(run.Outcome(), Cell{}, brief)
		case <-run.Stopping(): // one of its goroutines died, or memory did not last
			return s.leave(run, nil)
		case <-ctx.Done():
			return s.leave(run, &Error{Kind: Interrupted, Message: "interrupted"})
		case <-ends:
			return s.leave(run, &Error{Kind: Interrupted, Message: "interrupted"})
		case <-up:
			if v.Compiled && !run.Interpreting() {
				up = time.After(visitLook)
				continue
			}
			return s.leave(run, &Error{Kind: LimitExceeded, Message: fmt.Sprintf("stopped after %v", v.Limit)})
		}
	}
}

// leave interrupts a visit and waits a moment for its end. Whatever that is,
// why is the reason for it; without one it is the visit's own.
func (s *session) leave(run *vm.Run, why *Error) *Error {
	run.Interrupt()
	timer := time.NewTimer(s.limits.Grace)
	defer timer.Stop()
	select {
	case <-run.Finished():
	case <-timer.C:
		run.Abandon()
	}
	if why != nil {
		return why
	}
	if o, ok := run.Failed(); ok {
		return s.worded(o, Cell{}, brief)
	}
	return &Error{Kind: Interrupted, Message: "interrupted"}
}

// brief words a panic's value without its methods: they may be what panicked.
func brief(v any) string {
	if text, ok := vm.PlainText(v); ok {
		return text
	}
	return "a value of type " + typeText(v)
}
