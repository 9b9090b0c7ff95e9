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

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/standby"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Serve runs cells for the process at the other end of a connection, which
// reads what this one writes to its standard streams. It returns when the
// other process has gone.
func Serve(ev execution.Evaluator, conn *ipc.Conn) error {
	w := Here(ev)
	s := &server{w: w, conn: conn, gone: make(chan error, 1), running: map[uint64]context.CancelFunc{}, waiting: map[uint64]chan ipc.Message{}, readers: standby.New()}
	w.host = s
	w.streams = keepStreams()
	if err := w.attach(); err != nil {
		return err
	}
	s.saver = newSaver(ev, s)
	if err := conn.Write(ipc.New(ipc.Ready, 0)); err != nil {
		return err
	}
	defer s.readers.Close()
	s.readers.Go(s.read)
	return <-s.gone
}

// read takes messages until one is a request, and answers that one; another
// goroutine reads on. A goroutine to answer it would have to be woken first.
func (s *server) read() {
	for {
		m, err := s.conn.Read()
		if err != nil {
			s.gone <- err
			return
		}
		if !s.take(m) {
			continue
		}
		ctx, cancel := context.WithCancel(context.Background())
		s.mu.Lock()
		s.running[m.ID] = cancel
		s.mu.Unlock()
		if m.Kind == ipc.Run || m.Kind == ipc.Comm {
			s.conn.Begin(m.ID)
		}
		s.readers.Go(s.read)
		s.request(ctx, m)
		return
	}
}

// server answers requests, each on a goroutine of its own.
type server struct {
	w     *Worker
	conn  *ipc.Conn
	saver *saver
	gone  chan error // why the other process can't be read any more
	last  atomic.Uint64

	readers *standby.Pool

	mu      sync.Mutex
	running map[uint64]context.CancelFunc
	waiting map[uint64]chan ipc.Message
}

// take deals with a message unless it is a request.
func (s *server) take(m ipc.Message) (request bool) {
	switch m.Kind {
	case ipc.Interrupt:
		s.mu.Lock()
		if cancel := s.running[m.ID]; cancel != nil {
			cancel()
		}
		s.mu.Unlock()
	case ipc.Answer:
		s.mu.Lock()
		answer := s.waiting[m.ID]
		delete(s.waiting, m.ID)
		s.mu.Unlock()
		if answer != nil {
			answer <- m
		}
	default:
		return true
	}
	return false
}

// request answers one request, also if what answers it fails.
func (s *server) request(ctx context.Context, m ipc.Message) {
	answer := ipc.Message{}
	answered := false
	defer func() {
		if r := recover(); r != nil || !answered {
			answer = s.fault(m, r)
		}
		answer.Kind, answer.ID = ipc.Reply, m.ID
		s.conn.Write(answer)
		s.mu.Lock()
		s.running[m.ID]()
		delete(s.running, m.ID)
		s.mu.Unlock()
		if m.Kind == ipc.Run || m.Kind == ipc.Comm {
			s.saver.ended()
		}
	}()
	defer s.w.Close()()
	answer = s.answer(ctx, m)
	answered = true
}

// fault is the answer of a request whose handler panicked.
func (s *server) fault(m ipc.Message, r any) ipc.Message {
	what := "its handler ended without an answer"
	if r != nil {
		what = fmt.Sprintf("its handler panicked with a value of type %T", r)
		if reflect.TypeOf(r).PkgPath() == "runtime" { // others may have methods of a cell's
			what = fmt.Sprintf("its handler panicked: %v", r)
		}
		debug.PrintStack()
	}
	text := "internal error of the kernel: " + what + ". This is a fault of the kernel, not of the cell; variables are kept."
	failed := &execution.Failure{Name: "internal error", Value: text, Traceback: []string{text}}
	switch m.Kind {
	case ipc.Run:
		return ipc.Message{}.WithOutcome(execution.Outcome{Failure: failed})
	case ipc.Comm:
		return ipc.New(ipc.Reply, 0, failed)
	}
	return ipc.Message{}
}

func (s *server) answer(ctx context.Context, m ipc.Message) ipc.Message {
	var at struct {
		Cursor int `json:"c"`
		Detail int `json:"d"`
	}
	switch m.Kind {
	case ipc.Run:
		s.saver.begin()
		source := execution.Source{Name: m.Part(0), Text: m.Part(1)}
		return ipc.Message{}.WithOutcome(s.w.Run(ctx, source, execution.Terms{Ask: m.Part(2) == "ask"}))
	case ipc.Comm:
		s.saver.begin()
		return ipc.New(ipc.Reply, 0, s.w.Message(ctx, m.Part(0), m.Bytes(1)))
	case ipc.Complete:
		m.Decode(1, &at)
		return ipc.New(ipc.Reply, 0, s.w.Complete(m.Part(0), at.Cursor))
	case ipc.Inspect:
		m.Decode(1, &at)
		b, found := s.w.Inspect(m.Part(0), at.Cursor, at.Detail)
		if !found {
			return ipc.Message{}
		}
		return ipc.New(ipc.Reply, 0, "found").WithForms(b)
	case ipc.Finished:
		status, indent := s.w.Completeness(m.Part(0))
		return ipc.New(ipc.Reply, 0, string(status), indent)
	case ipc.Release:
		return ipc.New(ipc.Reply, 0, s.w.Release())
	case ipc.Restore:
		return s.saver.restore(m)
	}
	return ipc.Message{}
}

// tell sends a message and waits until it was taken.
func (s *server) tell(ctx context.Context, m ipc.Message) (ipc.Message, error) {
	m.ID = s.last.Add(1)
	answer := make(chan ipc.Message, 1)
	s.mu.Lock()
	s.waiting[m.ID] = answer
	s.mu.Unlock()
	if err := s.conn.Write(m); err != nil {
		return ipc.Message{}, err
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
		return ipc.Message{}, ctx.Err()
	}
}

func (s *server) told(m ipc.Message) error {
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

func (s *server) Late(cell, stream, text string) {
	s.told(ipc.New(ipc.Late, 0, cell, stream, text))
}

func (s *server) Display(b notebook.Bundle, id string) {
	s.told(ipc.New(ipc.Show, 0, id).WithForms(b))
}

func (s *server) Update(b notebook.Bundle, id string) {
	s.told(ipc.New(ipc.Update, 0, id).WithForms(b))
}

func (s *server) Clear(wait bool) { s.told(ipc.New(ipc.Clear, 0, wait)) }

func (s *server) OpenComm(id, target string, data, metadata json.RawMessage) error {
	return s.told(ipc.New(ipc.Open, 0, id, target, data, metadata))
}

func (s *server) SendComm(id string, data json.RawMessage) error {
	return s.told(ipc.New(ipc.Send, 0, id, data))
}

func (s *server) CloseComm(id string) error { return s.told(ipc.New(ipc.Close, 0, id)) }

func (s *server) Ask(ctx context.Context) (string, error) {
	a, err := s.tell(ctx, ipc.New(ipc.Ask, 0))
	return a.Part(1), err
}

func (s *server) Lost(execution.Loss) {}
