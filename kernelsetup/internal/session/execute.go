package session

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// executeRequest is the content of an execute_request. Absent fields have the
// protocol's defaults.
type executeRequest struct {
	Code            string            `json:"code"`
	Silent          bool              `json:"silent"`
	StoreHistory    *bool             `json:"store_history"`
	UserExpressions map[string]string `json:"user_expressions"`
	AllowStdin      *bool             `json:"allow_stdin"`
	StopOnError     *bool             `json:"stop_on_error"`
}

func isTrue(b *bool) bool { return b == nil || *b }

// execute runs one cell and answers with one reply, after everything the cell
// put out. It calls busy before it publishes anything.
func (k *Kernel) execute(m *protocol.Message, busy func()) {
	var r executeRequest
	if err := json.Unmarshal(m.Content, &r); err != nil {
		busy()
		k.reply(k.endpoint.Shell, m, "execute_reply", errorReply(int(k.count.Load()), refused("execute_request", err)))
		return
	}
	r.Code = strings.TrimPrefix(r.Code, "\ufeff") // of a file pasted whole
	store := isTrue(r.StoreHistory) && !r.Silent
	if store {
		k.count.Add(1)
	}
	number := int(k.count.Load())
	began := time.Now()
	outcome := k.run(m, r, number, busy)
	if outcome.Failure == nil && outcome.Result != nil && !isNothing(outcome.Result) && !r.Silent {
		k.publish(m, "execute_result", map[string]any{
			"execution_count": number, "data": encodeBundle(outcome.Result), "metadata": map[string]any{}})
	}
	if store {
		k.history.add(number, r.Code, outcome.Result.Text())
	}
	if outcome.Failure == nil {
		k.reply(k.endpoint.Shell, m, "execute_reply", map[string]any{
			"status": "ok", "execution_count": number,
			"user_expressions": k.expressions(r.UserExpressions), "payload": []any{}})
		return
	}
	stop := isTrue(r.StopOnError) || outcome.Died
	if stop && coarse(m) {
		time.Sleep(burstTime - time.Since(began))
	}
	content := errorReply(number, outcome.Failure)
	if !r.Silent {
		k.publish(m, "error", map[string]any{
			"ename": content["ename"], "evalue": content["evalue"], "traceback": content["traceback"]})
	}
	if !stop {
		k.reply(k.endpoint.Shell, m, "execute_reply", content)
		return
	}
	k.stopping.failed(m)
	if reply := k.compose(k.endpoint.Shell, m, "execute_reply", content); reply != nil {
		k.endpoint.Shell.SendMarking(reply)
	}
}

// run lets the cell run, and returns when all it wrote was published. That the
// kernel is busy is told while the cell begins.
func (k *Kernel) run(m *protocol.Message, r executeRequest, number int, busy func()) execution.Outcome {
	ctx, finish := k.begin()
	defer finish()
	k.asked.Store(m)
	source := execution.Source{Name: fmt.Sprintf("cell %d", number), Text: r.Code}
	k.remember(source.Name, m)
	sign := &sign{k: k, of: m}
	defer sign.end()
	outcome := k.opt.Worker.Run(ctx, source, execution.Terms{Ask: isTrue(r.AllowStdin), Begin: func() {
		busy()
		if !r.Silent {
			k.publish(m, "execute_input", map[string]any{"code": r.Code, "execution_count": number})
			sign.begin()
		}
	}})
	busy() // a worker that could not begin has not called Begin
	if len(outcome.Notices) > 0 && !r.Silent {
		k.publish(m, "stream", map[string]string{
			"name": "stderr", "text": strings.Join(outcome.Notices, "\n") + "\n"})
	}
	return outcome
}

// maxCells is how many cells are remembered whose goroutines may still print.
const maxCells = 1000

// remember notes the request of a cell, without what is large.
func (k *Kernel) remember(name string, m *protocol.Message) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(k.cells) >= maxCells {
		clear(k.cells)
	}
	k.cells[name] = m.HeaderOnly()
}

// begin makes what follows interruptible until finish is called.
func (k *Kernel) begin() (ctx context.Context, finish func()) {
	ctx, cancel := context.WithCancel(context.Background())
	k.mu.Lock()
	k.cancel = cancel
	if k.closing {
		cancel()
	}
	k.mu.Unlock()
	return ctx, func() {
		k.mu.Lock()
		k.cancel = nil
		k.mu.Unlock()
		cancel()
	}
}

// isNothing reports whether a result was shown already: all that is left of it is
// an empty text.
func isNothing(b notebook.Bundle) bool { return len(b) == 1 && b[notebook.MIMEText] == "" }

func errorReply(number int, f *execution.Failure) map[string]any {
	traceback := f.Traceback
	if traceback == nil {
		traceback = []string{}
	}
	return map[string]any{
		"status": "error", "execution_count": number,
		"ename": f.Name, "evalue": f.Value, "traceback": traceback,
		"user_expressions": map[string]any{}, "payload": []any{}}
}

func refused(what string, err error) *execution.Failure {
	text := what + " is not as the protocol describes it: " + err.Error()
	return &execution.Failure{Name: "protocol error", Value: text, Traceback: []string{text}}
}

// expressions evaluates what a front end wants to know beside the cell.
func (k *Kernel) expressions(want map[string]string) map[string]any {
	got := map[string]any{}
	for _, name := range slices.Sorted(maps.Keys(want)) {
		ctx, finish := k.begin()
		outcome := k.opt.Worker.Run(ctx, execution.Source{Name: "expression " + name, Text: want[name]}, execution.Terms{})
		finish()
		switch {
		case outcome.Failure != nil:
			f := outcome.Failure
			got[name] = map[string]any{"status": "error", "ename": f.Name, "evalue": f.Value, "traceback": f.Traceback}
		default:
			got[name] = map[string]any{
				"status": "ok", "data": encodeBundle(outcome.Result), "metadata": map[string]any{}}
		}
	}
	return got
}

// abort answers a request to run a cell without running it.
func (k *Kernel) abort(m *protocol.Message) {
	k.status(m, "busy")
	k.reply(k.endpoint.Shell, m, "execute_reply", map[string]any{
		"status": "aborted", "execution_count": k.count.Load(),
		"ename": "aborted", "evalue": "an earlier cell failed", "traceback": []string{},
		"user_expressions": map[string]any{}, "payload": []any{}})
	k.status(m, "idle")
}
