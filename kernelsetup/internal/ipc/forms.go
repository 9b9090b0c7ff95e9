package ipc

import (
	"encoding/json"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// A value's forms travel as two pieces each: a letter for the kind of data
// with the MIME type behind it, and the data.

func appendForms(parts [][]byte, b notebook.Bundle) [][]byte {
	for mime, v := range b {
		switch v := v.(type) {
		case string:
			parts = append(parts, []byte("t"+mime), []byte(v))
		case []byte:
			parts = append(parts, []byte("b"+mime), v)
		default:
			raw, err := json.Marshal(v)
			if err != nil {
				raw, _ = json.Marshal("cannot be encoded as JSON: " + err.Error())
			}
			parts = append(parts, []byte("j"+mime), raw)
		}
	}
	return parts
}

// FormsFrom returns the forms in the pieces from i on, nil where there are
// none.
func (m Message) FormsFrom(i int) notebook.Bundle {
	if i+1 >= len(m.Parts) {
		return nil
	}
	b := notebook.Bundle{}
	for ; i+1 < len(m.Parts); i += 2 {
		if len(m.Parts[i]) == 0 {
			continue
		}
		mime, data := string(m.Parts[i][1:]), m.Parts[i+1]
		switch m.Parts[i][0] {
		case 't':
			b[mime] = string(data)
		case 'b':
			b[mime] = data
		case 'j':
			b[mime] = json.RawMessage(data)
		}
	}
	return b
}

// WithForms returns m with the forms of a value behind its pieces.
func (m Message) WithForms(b notebook.Bundle) Message {
	m.Parts = appendForms(m.Parts, b)
	return m
}

// ended is what became of a cell, but for its result.
type ended struct {
	Failure *execution.Failure `json:"f,omitempty"`
	Notices []string           `json:"n,omitempty"`
}

// WithOutcome returns m with what became of a cell as its pieces.
func (m Message) WithOutcome(o execution.Outcome) Message {
	var head []byte
	if o.Failure != nil || len(o.Notices) > 0 { // else there is nothing to say
		head, _ = json.Marshal(ended{o.Failure, o.Notices})
	}
	m.Parts = appendForms([][]byte{head}, o.Result)
	return m
}

// Outcome is what WithOutcome wrote.
func (m Message) Outcome() execution.Outcome {
	var e ended
	if len(m.Bytes(0)) > 0 {
		json.Unmarshal(m.Bytes(0), &e)
	}
	return execution.Outcome{Result: m.FormsFrom(1), Failure: e.Failure, Notices: e.Notices}
}
