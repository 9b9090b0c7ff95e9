package session

import (
	"context"
	"encoding/base64"
	"encoding/json"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// host publishes what cells show.
type host struct{ k *Kernel }

func (h host) Stream(name, text string) {
	h.k.publish(h.k.current(), "stream", map[string]string{"name": name, "text": text})
}

// Late takes what a cell writes after its end.
func (h host) Late(cell, stream, text string) {
	h.k.mu.Lock()
	parent := h.k.cells[cell]
	if parent == nil {
		parent = h.k.parent
	}
	h.k.mu.Unlock()
	h.k.publish(parent, "stream", map[string]string{"name": stream, "text": text})
}

func (h host) Display(b notebook.Bundle, id string) { h.show("display_data", b, id) }

func (h host) Update(b notebook.Bundle, id string) { h.show("update_display_data", b, id) }

func (h host) show(kind string, b notebook.Bundle, id string) {
	transient := map[string]string{}
	if id != "" {
		transient["display_id"] = id
	}
	if h.k.showOldWidget(b) {
		// The widget is on the page already; its plain value beside it would
		// soon be out of date.
		b = notebook.Bundle{notebook.MIMEWidget: b[notebook.MIMEWidget]}
	}
	h.k.publish(h.k.current(), kind, map[string]any{
		"data": encodeBundle(b), "metadata": map[string]any{}, "transient": transient})
}

func (h host) Clear(wait bool) {
	h.k.publish(h.k.current(), "clear_output", map[string]bool{"wait": wait})
}

// Ask has the front end of the cell that runs ask its user.
func (h host) Ask(ctx context.Context) (string, error) { return h.k.ask(ctx, h.k.asked.Load()) }

// Lost tells below the last cell what was lost while none ran.
func (h host) Lost(l execution.Loss) {
	if l.Text != "" {
		h.Stream("stderr", l.Text)
	}
}

// encodeBundle writes pictures in base64 and leaves JSON documents as they
// are. A form that cannot be encoded is replaced by the reason.
func encodeBundle(b notebook.Bundle) map[string]any {
	data := make(map[string]any, len(b))
	for mime, v := range b {
		switch v := v.(type) {
		case string:
			data[mime] = v
		case []byte:
			if mime == notebook.MIMESVG {
				data[mime] = string(v)
			} else {
				data[mime] = base64.StdEncoding.EncodeToString(v)
			}
		default:
			raw, err := json.Marshal(v)
			if err != nil {
				raw, _ = json.Marshal("cannot be encoded as JSON: " + err.Error())
			}
			data[mime] = json.RawMessage(raw)
		}
	}
	return data
}
