package session

import (
	"fmt"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// sign is the sign of life of a cell that has shown nothing for a while: a line
// with the seconds, which goes before the cell's first output or its end comes.
// Nothing of it stays in the notebook.
type sign struct {
	k  *Kernel
	of *protocol.Message

	mu    sync.Mutex
	began time.Time
	next  *time.Timer // nil until the cell has begun
	shown bool
	over  bool
}

// signSteps is how often the seconds are told.
const signSteps = time.Second

// begin begins to watch the cell's silence.
func (s *sign) begin() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.over || s.k.opt.SignAfter <= 0 {
		return
	}
	s.k.sign.Store(s)
	s.began = time.Now()
	s.next = time.AfterFunc(s.k.opt.SignAfter, s.show)
}

func (s *sign) show() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.over {
		return
	}
	defer s.next.Reset(signSteps)
	kind := "display_data"
	if s.shown {
		kind = "update_display_data"
	}
	s.shown = true
	text := fmt.Sprintf("running for %.0f s …", max(time.Since(s.began).Seconds(), 1))
	s.k.send(s.of, kind, map[string]any{"metadata": map[string]any{}, "transient": map[string]string{"display_id": "running-" + s.of.Header.ID},
		"data": map[string]any{notebook.MIMEText: text, notebook.MIMEHTML: `<span style="opacity:0.6">` + text + `</span>`}})
}

// end takes the sign away for good.
func (s *sign) end() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.over {
		return
	}
	s.over = true
	if s.next != nil {
		s.next.Stop()
	}
	if s.shown {
		s.k.send(s.of, "clear_output", map[string]bool{"wait": false})
	}
}

// speaks ends the sign of a cell that shows something, or asks.
func (k *Kernel) speaks(parent *protocol.Message, kind string) {
	switch kind {
	case "stream", "display_data", "execute_result", "error", "clear_output", "input_request":
		if s := k.sign.Load(); s != nil && parent != nil && s.of.Header.ID == parent.Header.ID {
			s.end()
		}
	}
}
