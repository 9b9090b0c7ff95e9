package session

import (
	"encoding/base64"
	"encoding/json"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// sink publishes what cells show. Text printed before an output must reach
// the front end before it.
type sink struct{ k *Kernel }

func (k *Kernel) installSink() { notebook.SetSink(sink{k}) }

// Format makes the forms of values behind the evaluator's gate.
func (s sink) Format(values ...any) notebook.Bundle {
	if g, ok := s.k.opt.Evaluator.(cell.Guard); ok {
		return g.Format(values...)
	}
	if len(values) == 1 {
		return notebook.Format(values[0])
	}
	return notebook.SideBySide(values...)
}

func (s sink) Display(b notebook.Bundle, id string) { s.show("display_data", b, id) }

func (s sink) Update(b notebook.Bundle, id string) { s.show("update_display_data", b, id) }

func (s sink) show(kind string, b notebook.Bundle, id string) {
	transient := map[string]string{}
	if id != "" {
		transient["display_id"] = id
	}
	s.k.output.Flush()
	if s.k.showOldWidget(b) {
		// The widget is on the page already; its plain value beside it would
		// soon be out of date.
		b = notebook.Bundle{notebook.MIMEWidget: b[notebook.MIMEWidget]}
	}
	s.k.publish(s.k.current(), kind, map[string]any{
		"data": encodeBundle(b), "metadata": map[string]any{}, "transient": transient})
}

func (s sink) Clear(wait bool) {
	s.k.output.Flush()
	s.k.publish(s.k.current(), "clear_output", map[string]bool{"wait": wait})
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
