package session

import (
	"encoding/json"
	"unicode/utf8"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
)

// cursorRequest is what complete and inspect requests have in common. The
// position counts code points.
type cursorRequest struct {
	Code      string `json:"code"`
	CursorPos *int   `json:"cursor_pos"`
	Detail    int    `json:"detail_level"`
}

func (r cursorRequest) offset() int {
	if r.CursorPos == nil {
		return len(r.Code)
	}
	return byteOffset(r.Code, *r.CursorPos)
}

// byteOffset turns a count of code points into one of bytes.
func byteOffset(s string, points int) int {
	for at := range s {
		if points <= 0 {
			return at
		}
		points--
	}
	return len(s)
}

// pointOffset turns a count of bytes into one of code points.
func pointOffset(s string, bytes int) int {
	return utf8.RuneCountInString(s[:min(max(bytes, 0), len(s))])
}

func (k *Kernel) complete(m *protocol.Message) {
	var r cursorRequest
	json.Unmarshal(m.Content, &r)
	at := r.offset()
	c := k.opt.Worker.Complete(r.Code, at)
	start, end := pointOffset(r.Code, c.Start), pointOffset(r.Code, c.End)
	matches := make([]string, 0, len(c.Matches))
	typed := make([]map[string]any, 0, len(c.Matches))
	for _, match := range c.Matches {
		matches = append(matches, match.Text)
		typed = append(typed, map[string]any{
			"start": start, "end": end, "text": match.Text, "type": match.Type, "signature": match.Signature})
	}
	k.reply(k.endpoint.Shell, m, "complete_reply", map[string]any{
		"status": "ok", "matches": matches, "cursor_start": start, "cursor_end": end,
		// Front ends of several generations read this field for the types.
		"metadata": map[string]any{"_jupyter_types_experimental": typed}})
}

func (k *Kernel) inspect(m *protocol.Message) {
	var r cursorRequest
	json.Unmarshal(m.Content, &r)
	content := map[string]any{
		"status": "ok", "found": false, "data": map[string]any{}, "metadata": map[string]any{}}
	if b, found := k.opt.Worker.Inspect(r.Code, r.offset(), r.Detail); found {
		content["found"], content["data"] = true, encodeBundle(b)
	}
	k.reply(k.endpoint.Shell, m, "inspect_reply", content)
}

func (k *Kernel) isComplete(m *protocol.Message) {
	var r cursorRequest
	json.Unmarshal(m.Content, &r)
	status, indent := k.opt.Worker.Completeness(r.Code)
	content := map[string]any{"status": status}
	if status == execution.Incomplete {
		content["indent"] = indent
	}
	k.reply(k.endpoint.Shell, m, "is_complete_reply", content)
}
