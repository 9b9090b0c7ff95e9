package supervisor

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
)

// lastWords collects what the run time of a process writes when it gives up.
type lastWords struct {
	mu   sync.Mutex
	text []byte
	done chan struct{}
}

const (
	// enoughWords is how much of the last words is read: a dump of thousands
	// of goroutines helps nobody.
	enoughWords = 16 << 10
	// wordsTime is how long a process may go on writing them.
	wordsTime = 300 * time.Millisecond
)

// listenForLastWords reads them. The first of them is a sure sign of the end.
func listenForLastWords(r *os.File, c *child) *lastWords {
	l := &lastWords{done: make(chan struct{})}
	go func() {
		defer close(l.done)
		defer r.Close()
		buf := make([]byte, 4<<10)
		for {
			n, err := r.Read(buf)
			if n > 0 {
				c.output.Dying()
			}
			l.mu.Lock()
			if len(l.text) == 0 && n > 0 {
				time.AfterFunc(wordsTime, func() { killAll(c.cmd.Process) })
			}
			if len(l.text) < enoughWords {
				l.text = append(l.text, buf[:n]...)
			}
			full := len(l.text) >= enoughWords
			l.mu.Unlock()
			if full {
				killAll(c.cmd.Process)
			}
			if err != nil {
				return
			}
		}
	}()
	return l
}

func (l *lastWords) get() string {
	select {
	case <-l.done:
	case <-time.After(50 * time.Millisecond): // somebody else has the other end
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return string(l.text)
}

// wait waits for the end of the process and deals with it.
func (c *child) wait() {
	c.cmd.Wait()
	c.s.session.comeBack()
	close(c.exited)
	c.s.died(c)
	close(c.over)
}

// died finds out why a process ended, has another one take over, and tells.
func (s *Supervisor) died(c *child) {
	select {
	case <-c.silent:
	case <-time.After(200 * time.Millisecond): // somebody else has the other end
	}
	c.mu.Lock()
	c.dead = true
	var asked *request
	begun := c.conn.LastBegun()
	for _, r := range c.pending {
		r.begun = r.begun || r.id <= begun
		if (r.kind == ipc.Run || r.kind == ipc.Comm) && r.begun {
			asked = r
		}
	}
	why := c.why
	c.mu.Unlock()
	words := c.dying.get()
	first, _, _ := strings.Cut(words, "\n")
	<-c.hostOrClosing()
	words = c.output.Close(first) + "\n" + words
	killAll(c.cmd.Process) // what it has started
	forgetChild(c.cmd.Process.Pid)
	if s.opt.Adopt {
		endOrphans()
	}
	c.conn.Close()
	s.mu.Lock()
	closing := s.closing
	s.mu.Unlock()
	if closing {
		return
	}
	e := explain(c.cmd.ProcessState, why, words)
	next, restored := s.again(c)
	text := e.text() + s.aftermath(next != nil, restored, asked)
	c.text = text
	s.mu.Lock()
	s.child = next
	var closed []string
	for id := range s.comms {
		closed = append(closed, id)
	}
	clear(s.comms)
	last := "the last cell"
	if n := len(s.after); n > 0 {
		last = s.after[n-1]
	}
	quiet := asked == nil
	if quiet {
		s.notice = "Note: the process that runs the cells died after " + last + " had ended: " + e.what + "."
		if gone := goneText(restored); gone != "" {
			s.notice += " " + gone
		}
	}
	s.after = s.after[:0]
	if restored.After != "" {
		s.after = append(s.after, restored.After)
	}
	s.mu.Unlock()
	if s.host == nil {
		return
	}
	for _, id := range closed {
		s.host.CloseComm(id)
	}
	loss := execution.Loss{}
	if quiet {
		loss.Text = text
	}
	s.host.Lost(loss)
}

// hostOrClosing returns a channel that is closed once output can be handed on.
func (c *child) hostOrClosing() <-chan struct{} {
	c.s.mu.Lock()
	defer c.s.mu.Unlock()
	if c.s.closing {
		closed := make(chan struct{})
		close(closed)
		return closed
	}
	return c.host
}

// young is how long a process must have lived for its death not to count as a
// failed start.
const young = 2 * time.Second

// again starts another process and has it bring back what was saved.
func (s *Supervisor) again(dead *child) (*child, execution.Restored) {
	s.mu.Lock()
	saved := s.saved
	if time.Since(dead.born) > young {
		s.short = 0
	} else {
		s.short++
	}
	short := s.short
	s.mu.Unlock()
	if short > 20 {
		return nil, execution.Restored{}
	}
	for range 2 {
		c, err := s.start()
		if err != nil {
			return nil, execution.Restored{}
		}
		c.attached()
		if saved == nil {
			return c, execution.Restored{}
		}
		r, ok := c.bringBack(s, saved)
		if ok {
			return c, r
		}
		c.kill("what was saved could not be brought back")
		<-c.over
		s.mu.Lock()
		saved, s.saved = nil, nil
		s.mu.Unlock()
	}
	return nil, execution.Restored{}
}

// restoreTime is how long bringing back may take.
const restoreTime = 10 * time.Second

func (c *child) bringBack(s *Supervisor, saved *saved) (r execution.Restored, ok bool) {
	ask := &request{kind: ipc.Restore, id: s.last.Add(1), reply: make(chan ipc.Message, 1)}
	if !c.add(ask) {
		return r, false
	}
	defer c.remove(ask)
	c.works()
	c.conn.Write(ipc.New(ipc.Restore, ask.id, saved.parts...))
	select {
	case m := <-ask.reply:
		return r, m.Decode(0, &r) == nil
	case <-c.exited:
	case <-time.After(restoreTime):
	}
	return r, false
}

// aftermath says what there is after a death.
func (s *Supervisor) aftermath(alive bool, r execution.Restored, asked *request) string {
	if !alive {
		return "\nNo new process could be started in its place: restart the kernel."
	}
	var b strings.Builder
	b.WriteString("\nA new process has taken over. No cell was run again.\n")
	switch {
	case r.After == "":
		b.WriteString("Nothing had been saved: all names of the notebook are gone. Run its cells again.\n")
		return b.String()
	case len(r.Variables)+len(r.Declared) == 0:
		fmt.Fprintf(&b, "At the end of %s there was nothing that could be brought back.\n", r.After)
	default:
		fmt.Fprintf(&b, "Brought back as they were at the end of %s: %s.\n", r.After, list(slices.Concat(r.Variables, r.Declared)))
	}
	if gone := goneText(r); gone != "" {
		b.WriteString(gone + "\n")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	at := slices.Index(s.after, r.After)
	if since := s.after[at+1:]; at >= 0 && len(since) > 0 && !(len(since) == 1 && asked != nil && asked.kind == ipc.Run) {
		fmt.Fprintf(&b, "What was done since then, by %s, is lost.\n", list(slices.Compact(slices.Clone(since))))
	}
	return b.String()
}

func goneText(r execution.Restored) string {
	if len(r.Gone) == 0 {
		return ""
	}
	var all []string
	for _, g := range r.Gone {
		all = append(all, g.Name+" ("+g.Why+")")
	}
	return "Gone: " + list(all) + "."
}

// listMax is how many names are listed.
const listMax = 60

func list(names []string) string {
	if more := len(names) - listMax; more > 0 {
		return strings.Join(names[:listMax], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}
