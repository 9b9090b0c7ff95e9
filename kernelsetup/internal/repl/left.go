package repl

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/leftover"
)

// belongings knows which cell what is left running belongs to, and how much
// processor time it has used between cells.
type belongings struct {
	mu    sync.Mutex
	cells []ranCell
	ended time.Duration // the process's processor time when the last cell ended
	used  map[*vm.Run]time.Duration
}

// ranCell is a cell and when it began.
type ranCell struct {
	name  string
	begun time.Time
}

const maxCells = 2000

// begin notes that a cell begins. What the process has used since the last one
// is what that and earlier ones have left running, in equal parts.
func (b *belongings) begin(name string, left []interpreter.Left) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(left) > 0 {
		share := (leftover.ProcessorTime() - b.ended) / time.Duration(len(left))
		now := map[*vm.Run]time.Duration{}
		for _, l := range left {
			now[l.Run] = b.used[l.Run] + max(0, share)
		}
		b.used = now
	} else {
		b.used = nil
	}
	b.cells = append(b.cells, ranCell{name, time.Now()})
	if len(b.cells) > maxCells {
		b.cells = append(b.cells[:0:0], b.cells[maxCells/2:]...)
	}
}

func (b *belongings) end() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.ended = leftover.ProcessorTime()
}

// cellAt names the cell that began last before a time.
func (b *belongings) cellAt(t time.Time) string {
	b.mu.Lock()
	defer b.mu.Unlock()
	name := ""
	for _, c := range b.cells {
		if c.begun.After(t.Add(20 * time.Millisecond)) { // ticks of the system's clock
			break
		}
		name = c.name
	}
	return name
}

// running is one line of the list of what is left running.
type running struct {
	cell, what string
	since      time.Time
	processor  time.Duration
}

// left lists what earlier cells have left running.
func (ev *Evaluator) left() (list []running) {
	b := &ev.belongings
	for _, l := range ev.interpreter.Left() {
		b.mu.Lock()
		used := b.used[l.Run]
		b.mu.Unlock()
		var what []string
		if l.Goroutines > 0 {
			what = append(what, counted(l.Goroutines, "goroutine"))
		}
		if l.Timers > 0 {
			what = append(what, counted(l.Timers, "timer"))
		}
		list = append(list, running{l.Cell, strings.Join(what, ", "), l.Since, used})
	}
	for _, s := range leftover.Sockets() {
		if s.Address != "" {
			list = append(list, running{what: "listens on " + s.Address})
		}
	}
	for _, c := range leftover.Children() {
		list = append(list, running{b.cellAt(c.Started), fmt.Sprintf("process %d: %s", c.Pid, short(c.Command, 60)), c.Started, c.Processor})
	}
	slices.SortStableFunc(list, func(a, b running) int { return cmp.Or(a.since.Compare(b.since), cmp.Compare(a.what, b.what)) })
	return list
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// short cuts a text after so many characters, and makes one line of it.
func short(s string, n int) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

func (r running) String() string {
	text := r.what
	if r.cell != "" {
		text = r.cell + ": " + text
	}
	return text
}

// Release stops what earlier cells have left running: first as an interrupt
// does, their sockets and child processes with them; what is then still there
// is abandoned. It returns a line for each that was there.
func (ev *Evaluator) Release() (lines []string) {
	list := ev.left()
	sockets, children := leftover.Sockets(), leftover.Children()
	for _, r := range list {
		lines = append(lines, "stopped "+r.String())
	}
	ev.interpreter.Release()
	for _, c := range children {
		c.End()
	}
	for _, s := range sockets {
		s.Shut()
	}
	for range 25 { // deferred calls may take a moment
		if len(ev.interpreter.Left()) == 0 && len(leftover.Sockets()) == 0 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	ev.interpreter.GiveUp()
	for _, s := range leftover.Sockets() {
		if slices.ContainsFunc(sockets, func(o leftover.Socket) bool { return o == s }) {
			s.Drop()
		}
	}
	for _, c := range leftover.Children() { // started meanwhile
		c.End()
		children = append(children, c)
	}
	time.Sleep(10 * time.Millisecond) // whoever waits for them comes first
	for _, c := range children {
		c.Reap()
	}
	return lines
}

// LateOutput sets what takes the text that cells print after their end.
func (ev *Evaluator) LateOutput(f func(cell, stream, text string)) {
	ev.late = f
	ev.interpreter.LateOutput(f)
}
