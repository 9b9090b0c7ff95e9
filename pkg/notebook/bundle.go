// Package notebook decides what a cell shows: values, tables, Markdown,
// pictures, progress and controls. In a notebook kernel the output appears
// under the cell; in an ordinary program the text form of the same output goes
// to standard output.
package notebook

import "sort"

// MIME types that front ends know.
const (
	MIMEText     = "text/plain"
	MIMEMarkdown = "text/markdown"
	MIMEHTML     = "text/html"
	MIMESVG      = "image/svg+xml"
	MIMEPNG      = "image/png"
	MIMEJPEG     = "image/jpeg"
	MIMEVegaLite = "application/vnd.vegalite.v5+json"
	MIMEWidget   = "application/vnd.jupyter.widget-view+json"
	MIMEJSON     = "application/json"

	// MIMEControl marks the plain value of a control. No front end shows it.
	MIMEControl = "application/vnd.bonnetbook.control+json"
)

// Bundle is one output in several forms, by MIME type. A front end shows the
// richest it knows, so every bundle carries text. Text forms are strings,
// images []byte, JSON documents json.RawMessage or any value that encodes as
// JSON.
type Bundle map[string]any

// TextBundle returns a bundle of plain text only.
func TextBundle(text string) Bundle { return Bundle{MIMEText: text} }

// Text returns the plain-text form, empty where there is none.
func (b Bundle) Text() string {
	s, _ := b[MIMEText].(string)
	return s
}

// HTML returns the HTML form, empty where there is none.
func (b Bundle) HTML() string {
	s, _ := b[MIMEHTML].(string)
	return s
}

// Types returns the MIME types of the bundle, sorted.
func (b Bundle) Types() []string {
	types := make([]string, 0, len(b))
	for t := range b {
		types = append(types, t)
	}
	sort.Strings(types)
	return types
}

// with returns b with a text form added where it has none.
func (b Bundle) withText(text string) Bundle {
	if _, ok := b[MIMEText]; ok {
		return b
	}
	out := Bundle{MIMEText: text}
	for k, v := range b {
		out[k] = v
	}
	return out
}

// Displayer is a value that knows its own forms.
type Displayer interface {
	// Display returns the forms of the value; text is added where missing.
	Display() Bundle
}

// Display returns b itself: a Bundle can be shown like any value.
func (b Bundle) Display() Bundle { return b }
