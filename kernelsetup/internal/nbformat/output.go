package nbformat

import (
	"encoding/base64"
	"encoding/json"
	"strconv"
	"strings"
)

// OutputKind is the kind of one output of a cell.
type OutputKind string

// The kinds of output that format 4 knows.
const (
	Stream  OutputKind = "stream"
	Display OutputKind = "display_data"
	Result  OutputKind = "execute_result"
	Failure OutputKind = "error"
)

// Output is one output of a code cell.
type Output struct {
	Kind OutputKind
	// Name is "stdout" or "stderr", for a stream; Text is what it said.
	Name, Text string
	// Data holds the forms of a display or result by MIME type: strings,
	// base64 strings for pictures, or decoded JSON.
	Data map[string]any
	// ErrorName, ErrorValue and Traceback describe an error.
	ErrorName, ErrorValue string
	Traceback             []string
	// Count is the execution count of a result.
	Count int
	// DisplayID lets later output replace this one while the notebook runs;
	// it is not written.
	DisplayID string
}

// Outputs returns the outputs of a code cell.
func (c *Cell) Outputs() []Output {
	list, _ := c.raw["outputs"].([]any)
	var outputs []Output
	for _, o := range list {
		m, ok := o.(map[string]any)
		if !ok {
			continue
		}
		outputs = append(outputs, readOutput(m))
	}
	return outputs
}

func readOutput(m map[string]any) Output {
	text := func(key string) string { return joined(m[key]) }
	o := Output{
		Kind: OutputKind(text("output_type")), Name: text("name"), Text: text("text"),
		ErrorName: text("ename"), ErrorValue: text("evalue"), Data: map[string]any{},
	}
	if n, ok := m["execution_count"].(json.Number); ok {
		o.Count, _ = strconv.Atoi(n.String())
	}
	lines, _ := m["traceback"].([]any)
	for _, l := range lines {
		if s, ok := l.(string); ok {
			o.Traceback = append(o.Traceback, s)
		}
	}
	data, _ := m["data"].(map[string]any)
	for mime, v := range data {
		if isJSON(mime) {
			o.Data[mime] = v
		} else {
			o.Data[mime] = joined(v)
		}
	}
	return o
}

func isJSON(mime string) bool {
	return mime == "application/json" || strings.HasPrefix(mime, "application/") && strings.HasSuffix(mime, "+json")
}

// SetOutputs replaces the outputs of a code cell.
func (c *Cell) SetOutputs(outputs []Output) {
	list := make([]any, 0, len(outputs))
	for _, o := range outputs {
		list = append(list, o.raw())
	}
	c.raw["outputs"] = list
}

func (o Output) raw() map[string]any {
	m := map[string]any{"output_type": string(o.Kind)}
	switch o.Kind {
	case Stream:
		m["name"], m["text"] = o.Name, splitLines(o.Text)
	case Failure:
		lines := make([]any, 0, len(o.Traceback))
		for _, l := range o.Traceback {
			lines = append(lines, l)
		}
		m["ename"], m["evalue"], m["traceback"] = o.ErrorName, o.ErrorValue, lines
	default:
		m["metadata"] = map[string]any{}
		m["data"] = rawData(o.Data)
		if o.Kind == Result {
			m["execution_count"] = json.Number(strconv.Itoa(o.Count))
		}
	}
	return m
}

func rawData(data map[string]any) map[string]any {
	raw := make(map[string]any, len(data))
	for mime, v := range data {
		switch v := v.(type) {
		case string:
			if strings.HasPrefix(mime, "image/") && mime != "image/svg+xml" {
				raw[mime] = v
			} else {
				raw[mime] = splitLines(v)
			}
		case []byte:
			if mime == "image/svg+xml" {
				raw[mime] = splitLines(string(v))
			} else {
				raw[mime] = base64.StdEncoding.EncodeToString(v)
			}
		default:
			raw[mime] = v
		}
	}
	return raw
}
