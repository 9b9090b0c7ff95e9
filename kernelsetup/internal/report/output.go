package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html"
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// preferred lists the forms of an output that a still page can show, richest
// first.
var preferred = []string{
	"text/html", "image/svg+xml", "image/png", "image/jpeg", "image/gif", "text/markdown", "text/latex", "text/plain",
}

func (p page) output(o nbformat.Output) {
	switch o.Kind {
	case nbformat.Stream:
		fmt.Fprintf(p.w, "<pre class=\"out %s\">%s</pre>\n", html.EscapeString(o.Name), terminalText(o.Text))
	case nbformat.Failure:
		text := strings.Join(o.Traceback, "\n")
		if text == "" {
			text = o.ErrorName + ": " + o.ErrorValue
		}
		fmt.Fprintf(p.w, "<pre class=\"out error\">%s</pre>\n", terminalText(text))
	default:
		p.data(o.Data)
	}
}

func (p page) data(data map[string]any) {
	for _, mime := range preferred {
		text, ok := textOf(data[mime])
		if !ok || text == "" {
			continue
		}
		switch mime {
		case "text/html":
			fmt.Fprintf(p.w, "<div class=\"out html\">%s</div>\n", live.Pictures(safe(text), safe))
		case "image/svg+xml":
			p.picture(mime, base64.StdEncoding.EncodeToString([]byte(text)), data)
		case "image/png", "image/jpeg", "image/gif":
			text = strings.Join(strings.Fields(text), "")
			if _, err := base64.StdEncoding.DecodeString(text); err != nil {
				continue // no picture, whatever it says that it is
			}
			p.picture(mime, text, data)
		case "text/markdown":
			var b bytes.Buffer
			if err := convertMarkdown(&b, text); err != nil {
				b.Reset()
				b.WriteString("<pre>" + html.EscapeString(text) + "</pre>")
			}
			p.w.WriteString("<div class=\"out text\">" + safe(b.String()) + "</div>\n")
		default:
			fmt.Fprintf(p.w, "<pre class=\"out\">%s</pre>\n", terminalText(text))
		}
		return
	}
}

func textOf(v any) (string, bool) {
	switch v := v.(type) {
	case string:
		return v, true
	case []byte:
		return string(v), true
	}
	return "", false
}

// picture shows an image inside the page, with the output's text for whoever
// cannot see it.
func (p page) picture(mime, base64 string, data map[string]any) {
	alt, _ := textOf(data["text/plain"])
	fmt.Fprintf(p.w, "<figure class=\"out\"><img src=\"data:%s;base64,%s\" alt=\"%s\"></figure>\n",
		mime, base64, html.EscapeString(strings.TrimSpace(alt)))
}

var escape = regexp.MustCompile("\x1b\\[([0-9;]*)([A-Za-z])")

// terminalText turns text for a terminal into HTML: colours of the simple
// kind are kept, other control sequences dropped, and a carriage return
// overwrites its line.
func terminalText(s string) string {
	s = overwrite(strings.ReplaceAll(s, "\r\n", "\n"))
	var b strings.Builder
	open := false
	closeSpan := func() {
		if open {
			b.WriteString("</span>")
			open = false
		}
	}
	last := 0
	for _, m := range escape.FindAllStringSubmatchIndex(s, -1) {
		b.WriteString(html.EscapeString(s[last:m[0]]))
		last = m[1]
		if s[m[4]:m[5]] != "m" {
			continue
		}
		closeSpan()
		if class := colourClass(s[m[2]:m[3]]); class != "" {
			b.WriteString(`<span class="` + class + `">`)
			open = true
		}
	}
	b.WriteString(html.EscapeString(s[last:]))
	closeSpan()
	return b.String()
}

func colourClass(codes string) string {
	var classes []string
	for code := range strings.SplitSeq(codes, ";") {
		switch {
		case code == "1" || code == "01":
			classes = append(classes, "bold")
		case len(code) == 2 && (code[0] == '3' || code[0] == '9') && code[1] < '8':
			classes = append(classes, "ansi"+code[1:])
		}
	}
	return strings.Join(classes, " ")
}

func overwrite(s string) string {
	if !strings.Contains(s, "\r") {
		return s
	}
	lines := strings.Split(s, "\n")
	for i, line := range lines {
		line = strings.TrimSuffix(line, "\r")
		lines[i] = line[strings.LastIndex(line, "\r")+1:]
	}
	return strings.Join(lines, "\n")
}
