package worker

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"reflect"
	"runtime/debug"
	"sync"
	"sync/atomic"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/relay"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Serve runs cells for the process at the other end of a connection, which
// reads what this one writes to its standard streams. It returns when the
// other process has gone.
func Serve(ev cell.Evaluator, conn *relay.Conn) error {
	w := Here(ev)
	s := &server{w: w, conn: conn, running: map[uint64]context.CancelFunc{}, waiting: map[uint64]chan relay.Message{}}
	w.host = s
	w.streams = keepStreams()
	if err := w.attach(); err != nil {
		return err
	}
	s.saver = newSaver(ev, s)
	if err := conn.Write(relay.New(relay.Ready, 0)); err != nil {
		return err
	}
	for {
		m, err := conn.Read()
		if err != nil {
			return err
		}
		s.take(m)
	}
}

// server answers requests, each on a goroutine of its own.
type server struct {
	w     *Worker
	conn  *relay.Conn
	saver *saver
	last  atomic.Uint64

	mu      sync.Mutex
	running map[uint64]context.CancelFunc
	waiting map[uint64]chan relay.Message
}

func (s *server) take(m relay.Message) {
	switch m.Kind {
	case relay.Interrupt:
		s.mu.Lock()
		if cancel := s.running[m.ID]; cancel != nil {
			cancel()
		}
		s.mu.Unlock()
	case relay.Answer:
		s.mu.Lock()
		answer := s.waiting[m.ID]
		delete(s.waiting, m.ID)
		s.mu.Unlock()
		if answer != nil {
			answer <- m
		}
	default:
		ctx, cancel := context.WithCancel(context.Background())
		s.mu.Lock()
		s.running[m.ID] = cancel
		s.mu.Unlock()
		go s.request(ctx, m)
	}
}

// request answers one request, also if what answers it fails.
func (s *server) request(ctx context.Context, m relay.Message) {
	answer := relay.Message{}
	answered := false
	defer func() {
		if r := recover(); r != nil || !answered {
			answer = s.fault(m, r)
		}
		answer.Kind, answer.ID = relay.Reply, m.ID
		s.conn.Write(answer)
		s.mu.Lock()
		s.running[m.ID]()
		delete(s.running, m.ID)
		s.mu.Unlock()
		if m.Kind == relay.Run || m.Kind == relay.Comm {
			s.saver.ended()
		}
	}()
	defer s.w.Close()()
	answer = s.answer(ctx, m)
	answered = true
}

// fault is the answer of a request whose handler panicked.
func (s *server) fault(m relay.Message, r any) relay.Message {
	what := "its handler ended without an answer"
	if r != nil {
		what = fmt.Sprintf("its handler panicked with a value of type %T", r)
		if reflect.TypeOf(r).PkgPath() == "runtime" { // others may have methods of a cell's
			what = fmt.Sprintf("its handler panicked: %v", r)
		}
		debug.PrintStack()
	}
	text := "internal error of the kernel: " + what + ". This is a fault of the kernel, not of the cell; variables are kept."
	failed := &cell.Failure{Name: "internal error", Value: text, Traceback: []string{text}}
	switch m.Kind {
	case relay.Run:
		return relay.Message{}.WithOutcome(cell.Outcome{Failure: failed})
	case relay.Comm:
		return relay.New(relay.Reply, 0, failed)
	}
	return relay.Message{}
}

func (s *server) answer(ctx context.Context, m relay.Message) relay.Message {
	var at struct {
		Cursor int `json:"c"`
		Detail int `json:"d"`
	}
	switch m.Kind {
	case relay.Run:
		s.conn.Write(relay.New(relay.Begun, m.ID))
		s.saver.begin()
		source := cell.Source{Name: m.Part(0), Text: m.Part(1)}
		return relay.Message{}.WithOutcome(s.w.Run(ctx, source, cell.Terms{Ask: m.Part(2) == "ask"}))
	case relay.Comm:
		s.conn.Write(relay.New(relay.Begun, m.ID))
		s.saver.begin()
		return relay.New(relay.Reply, 0, s.w.Message(ctx, m.Part(0), m.Bytes(1)))
	case relay.Complete:
		m.Decode(1, &at)
		return relay.New(relay.Reply, 0, s.w.Complete(m.Part(0), at.Cursor))
	case relay.Inspect:
		m.Decode(1, &at)
		b, found := s.w.Inspect(m.Part(0), at.Cursor, at.Detail)
		if !found {
			return relay.Message{}
		}
		return relay.New(relay.Reply, 0, "found").WithForms(b)
	case relay.Finished:
		status, indent := s.w.Completeness(m.Part(0))
		return relay.New(relay.Reply, 0, string(status), indent)
	case relay.Release:
		return relay.New(relay.Reply, 0, s.w.Release())
	case relay.Restore:
		return s.saver.restore(m)
	}
	return relay.Message{}
}

// tell sends a message and waits until it was taken.
func (s *server) tell(ctx context.Context, m relay.Message) (relay.Message, error) {
	m.ID = s.last.Add(1)
	answer := make(chan relay.Message, 1)
	s.mu.Lock()
	s.waiting[m.ID] = answer
	s.mu.Unlock()
	if err := s.conn.Write(m); err != nil {
		return relay.Message{}, err
	}
	select {
	case a := <-answer:
		if a.Part(0) != "" {
			return a, errors.New(a.Part(0))
		}
		return a, nil
	case <-ctx.Done():
		s.mu.Lock()
		delete(s.waiting, m.ID)
		s.mu.Unlock()
		return relay.Message{}, ctx.Err()
	}
}

func (s *server) told(m relay.Message) error {
	_, err := s.tell(context.Background(), m)
	return err
}

// Stream is not used: the other process reads the streams itself.
func (s *server) Stream(name, text string) {
	if name == "stderr" {
		os.Stderr.WriteString(text)
		return
	}
	os.Stdout.WriteString(text)
}

func (s *server) Late(cell, text string) { s.told(relay.New(relay.Late, 0, cell, text)) }

func (s *server) Display(b notebook.Bundle, id string) {
	s.told(relay.New(relay.Show, 0, id).WithForms(b))
}

func (s *server) Update(b notebook.Bundle, id string) {
	s.told(relay.New(relay.Update, 0, id).WithForms(b))
}

func (s *server) Clear(wait bool) { s.told(relay.New(relay.Clear, 0, wait)) }

func (s *server) OpenComm(id, target string, data, metadata json.RawMessage) error {
	return s.told(relay.New(relay.Open, 0, id, target, data, metadata))
}

func (s *server) SendComm(id string, data json.RawMessage) error {
	return s.told(relay.New(relay.Send, 0, id, data))
}

func (s *server) CloseComm(id string) error { return s.told(relay.New(relay.Close, 0, id)) }

func (s *server) Ask(ctx context.Context) (string, error) {
	a, err := s.tell(ctx, relay.New(relay.Ask, 0))
	return a.Part(1), err
}

func (s *server) Lost(cell.Loss) {}
