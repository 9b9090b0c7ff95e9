package session

import (
	"context"
	"encoding/json"
	"errors"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
)

// stdinChannel matches answers of the front end's user to questions.
type stdinChannel struct{ answers chan *protocol.Message }

func newStdinChannel() *stdinChannel { return &stdinChannel{make(chan *protocol.Message, 16)} }

func (s *stdinChannel) receive(m *protocol.Message) {
	if m.Header.Type != "input_reply" {
		return
	}
	select {
	case s.answers <- m:
	default: // nobody asked sixteen times over
	}
}

var errNoStdin = errors.New("the front end has no stdin channel")

// ask has the front end that sent a request ask its user for a line.
func (k *Kernel) ask(ctx context.Context, request *protocol.Message) (string, error) {
	for len(k.stdin.answers) > 0 {
		<-k.stdin.answers // to a question of an interrupted cell
	}
	q, err := k.endpoint.Author.New("input_request", request, map[string]any{"prompt": "", "password": false})
	if err != nil {
		return "", err
	}
	k.speaks(request, "input_request")
	claimed := protocol.Claimed(request)
	if len(claimed) > 0 {
		q.Identities = nil
	}
	if !k.endpoint.Stdin.SendTo(claimed, q) {
		return "", errNoStdin
	}
	for {
		select {
		case <-ctx.Done():
			return "", ctx.Err()
		case a := <-k.stdin.answers:
			var content struct {
				Value string `json:"value"`
			}
			if err := json.Unmarshal(a.Content, &content); err != nil {
				continue
			}
			return content.Value, nil
		}
	}
}
