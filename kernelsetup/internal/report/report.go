// Package report writes a notebook as one self-contained web page: no request to
// anywhere, pictures inside, and no script but the one that lets a person zoom
// charts and read values off. That one is named by its hash in the page's
// policy, so that a browser runs no other.
package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html"
	"io"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// Options configure a page; the zero value is the usual one.
type Options struct {
	// Dir is where pictures and files named in Markdown are looked for.
	Dir string
	// Folder is where the page will stand; relative links are written as they
	// lead from there. Empty is Dir.
	Folder string
	// Title replaces the notebook's first heading as the page's title.
	Title string
	// HideCode leaves out the source of cells, and what is there only for
	// somebody who works in the notebook: exercises with their checks, and
	// controls.
	HideCode bool
	// Checks are the IDs of cells that judge the exercise in the cell above.
	Checks map[string]bool
	// Index tells that IndexName stands beside the page, which links it then.
	Index bool
	// Previous and Next are the pages beside this one in the order of the
	// index; those without a file are not linked.
	Previous, Next Entry
}

// Write writes the page. The policy in its head makes browsers refuse scripts
// and requests that an output might carry.
func Write(w io.Writer, n *nbformat.Notebook, opt Options) error {
	title := opt.Title
	if title == "" {
		title = n.Title()
	}
	if title == "" {
		title = "Notebook"
	}
	var body bytes.Buffer
	p := page{w: &body, opt: opt, contents: &contents{seen: map[string]int{}}}
	for i, c := range opt.without(n.Cells) {
		if err := p.cell(c); err != nil {
			return fmt.Errorf("cell %d: %w", i+1, err)
		}
	}
	var b bytes.Buffer
	writeHead(&b, title)
	way := opt.way()
	b.WriteString(way)
	b.WriteString(p.contents.html())
	b.Write(body.Bytes())
	b.WriteString(way)
	b.WriteString("</main>\n")
	if bytes.Contains(b.Bytes(), []byte(`<svg class="bb `)) {
		b.WriteString(chartParts(b.String()))
	}
	b.WriteString(pageEnd)
	_, err := w.Write(b.Bytes())
	return err
}

// WrittenHere reports whether a page is the work of this package, by the
// generator that its head names.
func WrittenHere(page []byte) bool {
	const head = 1024 // the head begins with it; what cells show comes later
	return bytes.Contains(page[:min(head, len(page))], []byte(generator))
}

const generator = `<meta name="generator" content="bonnetbook report">`

const pageHead = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
` + generator + `
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src %s">
<title>%s</title>
<style>
%s</style>
</head>
<body>
<main>
`

const (
	pageEnd  = "</body>\n</html>\n"
	pageFoot = "</main>\n" + pageEnd
)

func writeHead(b *bytes.Buffer, title string) {
	fmt.Fprintf(b, pageHead, scriptSource, html.EscapeString(title), style)
}

// scriptSource is the one script that the page's policy lets run.
var scriptSource = func() string {
	sum := sha256.Sum256([]byte(live.Script))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}()

// chartParts are the colours of charts on dark pages, and their script.
func chartParts(page string) string {
	return "<style>" + live.DarkRules(page) + "</style>\n<script>" + live.Script + "</script>\n"
}

type page struct {
	w        *bytes.Buffer
	opt      Options
	contents *contents
}

func (p page) cell(c *nbformat.Cell) error {
	switch c.Kind() {
	case nbformat.Markdown:
		p.w.WriteString("<section class=\"text\">\n")
		text, err := markdownCell(c, p.opt)
		if err != nil {
			return err
		}
		p.w.WriteString(p.contents.collect(text))
		p.w.WriteString("</section>\n")
	case nbformat.Code:
		p.w.WriteString("<section class=\"code\">\n")
		if source := strings.TrimSpace(c.Source()); source != "" && !p.opt.HideCode {
			p.w.WriteString("<pre class=\"source\"><code>" + highlight(source) + "</code></pre>\n")
		}
		for _, o := range c.Outputs() {
			if p.opt.HideCode && isControl(o) {
				continue
			}
			p.output(o)
		}
		p.w.WriteString("</section>\n")
	}
	return nil
}
