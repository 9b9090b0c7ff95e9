package notebook

import (
	"fmt"
	"html"
	"iter"
	"strings"
	"sync"
	"time"
)

// progressInterval keeps a fast loop from spending its time on its bar.
const progressInterval = 100 * time.Millisecond

// Progress is a bar that fills in place and tells the time left. An ordinary
// program prints one line when it is done. Its methods may be called from
// several goroutines.
type Progress struct {
	mu      sync.Mutex
	label   string
	total   int
	done    int
	started time.Time
	shown   time.Time
	handle  Handle
	live    bool
	ended   bool
}

// NewProgress starts a bar for a known number of steps, at least one.
func NewProgress(label string, total int) *Progress {
	return &Progress{label: label, total: max(total, 1), started: time.Now()}
}

// Steps counts from 0 to n-1 and shows the bar meanwhile:
//
//	for i := range notebook.Steps("resampling", 1000) { … }
func Steps(label string, n int) iter.Seq[int] {
	return func(yield func(int) bool) {
		p := NewProgress(label, n)
		defer p.Done()
		for i := range n {
			if !yield(i) {
				return
			}
			p.Advance(1)
		}
	}
}

// Advance counts n more steps as done.
func (p *Progress) Advance(n int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done = min(p.done+n, p.total)
	if now := time.Now(); now.Sub(p.shown) >= progressInterval && now.Sub(p.started) >= progressInterval {
		p.shown = now
		p.show(now)
	}
}

// Done ends the bar where it stands.
func (p *Progress) Done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		return
	}
	p.ended = true
	p.show(time.Now())
}

func (p *Progress) show(now time.Time) {
	s := sink()
	_, plain := s.(*writerSink)
	switch {
	case plain && !p.ended:
	case plain || !p.live:
		p.handle = Handle{newDisplayID()}
		p.live = true
		s.Display(p.bundle(now), p.handle.id)
	default:
		s.Update(p.bundle(now), p.handle.id)
	}
}

func (p *Progress) bundle(now time.Time) Bundle {
	text := fmt.Sprintf("%s: %d of %d", p.label, p.done, p.total)
	took := now.Sub(p.started)
	note := "took " + roughly(took)
	if !p.ended {
		note = "time left unknown"
		if p.done > 0 {
			left := time.Duration(float64(took) * float64(p.total-p.done) / float64(p.done))
			note = "about " + roughly(left) + " left"
		}
		const width = 24
		full := width * p.done / p.total
		text += " [" + strings.Repeat("#", full) + strings.Repeat(".", width-full) + "] " + note
	}
	return Bundle{MIMEText: text, MIMEHTML: fmt.Sprintf(
		`<div>%s: <progress max="%d" value="%d" style="width:16em;vertical-align:middle"></progress> %d of %d, %s</div>`,
		html.EscapeString(p.label), p.total, p.done, p.done, p.total, note)}
}

// roughly rounds a duration to what a waiting person wants to know.
func roughly(d time.Duration) string {
	switch {
	case d < 10*time.Second:
		return fmt.Sprintf("%.1f s", d.Seconds())
	case d < 2*time.Minute:
		return fmt.Sprintf("%.0f s", d.Seconds())
	case d < 2*time.Hour:
		return fmt.Sprintf("%.0f min", d.Minutes())
	}
	return fmt.Sprintf("%.1f h", d.Hours())
}
