package notebook

import (
	"encoding/base64"
	"fmt"
	"html"
	"strings"
)

// Show shows values under the cell: one as it is, several side by side.
func Show(values ...any) {
	if len(values) > 0 {
		sink().Display(form(values...), "")
	}
}

// Handle replaces an output that is already shown.
type Handle struct{ id string }

// ShowLive shows a value and returns the handle that replaces it later. An
// ordinary program prints the first value and drops the rest.
func ShowLive(value any) Handle {
	h := Handle{newDisplayID()}
	sink().Display(form(value), h.id)
	return h
}

// Update replaces the shown value.
func (h Handle) Update(value any) { sink().Update(form(value), h.id) }

// Clear empties the output of the running cell. With wait, the old output
// stays until the next one comes, so that redrawing does not flicker.
func Clear(wait bool) { sink().Clear(wait) }

// SideBySide returns several values as one output: next to each other where
// there is room, in text one below the other.
func SideBySide(values ...any) Bundle {
	var text, page strings.Builder
	plain := true
	page.WriteString(`<div style="display:flex;flex-wrap:wrap;gap:1.5em;align-items:flex-start">`)
	for i, v := range values {
		b := Format(v)
		if i > 0 {
			text.WriteString("\n")
		}
		text.WriteString(strings.TrimRight(b.Text(), "\n"))
		if len(b) > 1 {
			plain = false
		}
		page.WriteString("<div>" + asHTML(b) + "</div>")
	}
	page.WriteString("</div>")
	if plain {
		return TextBundle(text.String())
	}
	return Bundle{MIMEText: text.String(), MIMEHTML: page.String()}
}

// Stack returns several values as one output, one below the other.
func Stack(values ...any) Bundle {
	var text, page strings.Builder
	plain := true
	for i, v := range values {
		b := Format(v)
		if i > 0 {
			text.WriteString("\n")
		}
		text.WriteString(strings.TrimRight(b.Text(), "\n"))
		if len(b) > 1 {
			plain = false
		}
		page.WriteString("<div>" + asHTML(b) + "</div>")
	}
	if plain {
		return TextBundle(text.String())
	}
	return Bundle{MIMEText: text.String(), MIMEHTML: page.String()}
}

// asHTML returns the richest form of a bundle that can be put into a page.
func asHTML(b Bundle) string {
	if s := b.HTML(); s != "" {
		return s
	}
	for _, t := range []string{MIMESVG, MIMEPNG, MIMEJPEG} {
		switch data := b[t].(type) {
		case []byte:
			return imageTag(t, data)
		case string:
			return imageTag(t, []byte(data))
		}
	}
	return `<pre style="margin:0">` + html.EscapeString(b.Text()) + "</pre>"
}

// imageTag keeps a picture in an element of its own: two SVG documents in one
// page would share ids and styles.
func imageTag(mime string, data []byte) string {
	return fmt.Sprintf(`<img style="max-width:100%%" src="data:%s;base64,%s">`,
		mime, base64.StdEncoding.EncodeToString(data))
}
