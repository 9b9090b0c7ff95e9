// Package live draws a sheet as a piece of a web page: a picture that a person
// can zoom and read values off, by a script of its own and nothing from
// elsewhere. Where scripts don't run or are taken away, the picture stays.
//
// The piece is an img whose source is the picture as SVG; the script puts the
// SVG itself in its place. A page that trusts no script of an output takes the
// pictures out with [Pictures], which are inert markup, and brings [Script]
// itself.
package live

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"encoding/base64"
	"html"
	"io"
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// Script makes all pictures of a page live, those put in later by calling it
// again. It holds no "</script>".
var Script = compact(source)

//go:embed live.js
var source string

// Class is that of the img element of a picture.
const Class = "bb-picture"

// HTML returns the two layouts of one picture, for wide and narrow pages, with
// the script. alt is told to whoever can't see it.
func HTML(wide, narrow sheet.Sheet, alt string) string {
	return `<div class="bb-holder"><img class="` + Class + `" style="max-width:100%" src="data:image/svg+xml;base64,` + encode(wide) +
		`" data-narrow="` + packed(narrow) + `" alt="` + html.EscapeString(alt) + `"></div><script>` + Script + `</script>`
}

func encode(s sheet.Sheet) string { return base64.StdEncoding.EncodeToString([]byte(SVG(s))) }

// packed is a drawing that no img shows as it is: compressed, then as text.
func packed(s sheet.Sheet) string {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression) // the level is valid
	io.WriteString(w, SVG(s))                             // a buffer takes everything
	w.Close()
	return base64.StdEncoding.EncodeToString(b.Bytes())
}

// mostUnpacked bounds what a packed drawing may hold.
const mostUnpacked = 1 << 20

func unpack(code string) (string, error) {
	r, err := gzip.NewReader(base64.NewDecoder(base64.StdEncoding, strings.NewReader(code)))
	if err != nil {
		return "", err
	}
	data, err := io.ReadAll(io.LimitReader(r, mostUnpacked))
	return string(data), err
}

// image finds a picture in HTML whose tags are in plain form, as a sanitiser
// writes them.
var image = regexp.MustCompile(`<img\b[^<>]*>`)
var attribute = regexp.MustCompile(` ([-a-z]+)="([^"<>]*)"`)

// Pictures replaces every picture of ours in HTML by its two layouts as SVG in
// the page, each passed through clean first. The HTML must have its tags in
// plain form: lower case, attributes in double quotes without < and >.
func Pictures(page string, clean func(svg string) string) string {
	return image.ReplaceAllStringFunc(page, func(tag string) string {
		values := map[string]string{}
		for _, m := range attribute.FindAllStringSubmatch(tag, -1) {
			values[m[1]] = m[2]
		}
		code, drawing := strings.CutPrefix(values["src"], "data:image/svg+xml;base64,")
		if values["class"] != Class || !drawing {
			return tag
		}
		wide, err := base64.StdEncoding.DecodeString(code)
		narrow, err2 := unpack(values["data-narrow"])
		if err != nil || err2 != nil {
			return tag
		}
		return `<div class="bb-wide">` + clean(string(wide)) + `</div><div class="bb-narrow">` + clean(narrow) + `</div>`
	})
}

// compact leaves out indentation and lines of comment.
func compact(script string) string {
	var b strings.Builder
	for line := range strings.Lines(script) {
		if line = strings.TrimLeft(line, " "); !strings.HasPrefix(line, "//") && line != "\n" {
			b.WriteString(line)
		}
	}
	return b.String()
}
