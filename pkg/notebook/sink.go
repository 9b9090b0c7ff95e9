package notebook

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
)

// Sink takes what cells show. A kernel installs its own with SetSink.
type Sink interface {
	// Display shows an output. A non-empty id lets a later Update replace it.
	Display(b Bundle, id string)
	// Update replaces every shown output with that id.
	Update(b Bundle, id string)
	// Clear empties the cell's output; with wait, not before the next output
	// comes.
	Clear(wait bool)
}

// FormatSink is a Sink that makes the forms of values itself, by Format under
// its own protection: a value's method may panic or never return.
type FormatSink interface {
	Sink
	// Format returns the forms in which a value is shown, or several side by
	// side.
	Format(values ...any) Bundle
}

// form returns the forms of values as the sink wants them made.
func form(values ...any) Bundle {
	if s, ok := sink().(FormatSink); ok {
		return s.Format(values...)
	}
	if len(values) == 1 {
		return Format(values[0])
	}
	return SideBySide(values...)
}

// CommSink is a Sink that also carries messages to live controls in the front
// end.
type CommSink interface {
	Sink
	// OpenComm opens a channel to the named target in the front end. receive
	// is called, one message at a time and never during a cell, with the data
	// of each message that comes back; it may be nil.
	OpenComm(target string, data, metadata any, receive func(data json.RawMessage)) (Comm, error)
}

// Comm is an open channel to a counterpart in the front end.
type Comm interface {
	// ID names the channel.
	ID() string
	// Send sends one message.
	Send(data any) error
	// Close closes the channel.
	Close() error
}

var (
	sinkMu  sync.RWMutex
	current Sink = &writerSink{w: stdout{}}
)

// SetSink installs the sink that takes all output from now on and returns the
// one before. A nil sink restores the text form on standard output.
func SetSink(s Sink) (previous Sink) {
	if s == nil {
		s = &writerSink{w: stdout{}}
	}
	sinkMu.Lock()
	defer sinkMu.Unlock()
	previous, current = current, s
	return previous
}

func sink() Sink {
	sinkMu.RLock()
	defer sinkMu.RUnlock()
	return current
}

// stdout looks up os.Stdout at each write, since a test may replace it.
type stdout struct{}

func (stdout) Write(p []byte) (int, error) { return os.Stdout.Write(p) }

// WriterSink returns a sink that writes the text form of each output to w.
// Updates are written only by what makes them final.
func WriterSink(w io.Writer) Sink { return &writerSink{w: w} }

type writerSink struct {
	mu sync.Mutex
	w  io.Writer
}

func (s *writerSink) Display(b Bundle, id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	text := b.Text()
	if text == "" {
		return
	}
	io.WriteString(s.w, text)
	if !strings.HasSuffix(text, "\n") {
		io.WriteString(s.w, "\n")
	}
}

func (s *writerSink) Update(Bundle, string) {}
func (s *writerSink) Clear(bool)            {}

var displays atomic.Int64

func newDisplayID() string {
	return fmt.Sprintf("bonnetbook-%d-%d", os.Getpid(), displays.Add(1))
}
