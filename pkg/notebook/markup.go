package notebook

import (
	"encoding/json"
	"html"
	"strings"
)

// Markdown is text in Markdown; its plain form is the source itself.
type Markdown string

// Display returns the text as Markdown.
func (m Markdown) Display() Bundle {
	return Bundle{MIMEText: string(m), MIMEMarkdown: string(m)}
}

// HTML is a piece of a web page. Its plain form is its text without tags.
type HTML string

// Display returns the page and its text.
func (h HTML) Display() Bundle {
	return Bundle{MIMEText: withoutTags(string(h)), MIMEHTML: string(h)}
}

// withoutTags leaves what stands outside of < and >.
func withoutTags(s string) string {
	var b strings.Builder
	in := false
	for _, r := range s {
		switch {
		case r == '<':
			in = true
		case r == '>' && in:
			in = false
		case !in:
			b.WriteRune(r)
		}
	}
	return strings.TrimSpace(html.UnescapeString(b.String()))
}

// VegaLite is a Vega-Lite document (version 5) as JSON. Front ends that draw
// it show an interactive chart.
type VegaLite json.RawMessage

// Display returns the document; its plain form names its title, if any.
func (v VegaLite) Display() Bundle {
	if !json.Valid(v) {
		return TextBundle("a Vega-Lite document that is not JSON")
	}
	return Bundle{MIMEText: "chart" + titleOf(v), MIMEVegaLite: json.RawMessage(v)}
}

func titleOf(doc []byte) string {
	var d struct{ Title any }
	json.Unmarshal(doc, &d)
	switch t := d.Title.(type) {
	case string:
		return ": " + t
	case map[string]any:
		if s, ok := t["text"].(string); ok {
			return ": " + s
		}
	}
	return ""
}
