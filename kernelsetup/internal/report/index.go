package report

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"net/url"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

// IndexName is the name of the page that links the pages of one folder.
const IndexName = "index.html"

// Entry is one notebook in the index.
type Entry struct {
	// File is the name of its page beside the index; empty where there is
	// none.
	File string
	// Title and Question say what it is about; an empty question is left out.
	Title, Question string
	// Trouble says in a line what went wrong with it, empty if nothing did.
	Trouble string
}

// address is how other pages of the folder link the entry's.
func (e Entry) address() string { return html.EscapeString((&url.URL{Path: e.File}).String()) }

// WriteIndex writes the page that links the pages of a folder, in the order
// given. It returns the error of w.
func WriteIndex(w io.Writer, entries []Entry) error {
	var b bytes.Buffer
	writeHead(&b, "Notebooks")
	b.WriteString("<h1>Notebooks</h1>\n<ol class=\"index\">\n")
	for _, e := range entries {
		title := html.EscapeString(e.Title)
		if e.File != "" {
			title = fmt.Sprintf("<a href=\"%s\">%s</a>", e.address(), title)
		}
		b.WriteString("<li>" + title)
		if e.Question != "" {
			b.WriteString("<br>" + html.EscapeString(e.Question))
		}
		if e.Trouble != "" {
			b.WriteString("<br><strong class=\"error\">" + html.EscapeString(e.Trouble) + "</strong>")
		}
		b.WriteString("</li>\n")
	}
	b.WriteString("</ol>\n" + pageFoot)
	_, err := w.Write(b.Bytes())
	return err
}

// Question returns the first paragraph below the notebook's first heading, as
// plain text in one line. In a notebook of the method that is its question.
// It is empty where the heading's cell has no paragraph.
func Question(n *nbformat.Notebook) string {
	for _, c := range n.Cells {
		if c.Kind() != nbformat.Markdown {
			continue
		}
		source := []byte(c.Source())
		below := false
		for node := markdown.Parser().Parse(text.NewReader(source)).FirstChild(); node != nil; node = node.NextSibling() {
			switch {
			case node.Kind() == ast.KindHeading:
				below = true
			case below && node.Kind() == ast.KindParagraph:
				return plain(node, source)
			}
		}
		if below {
			return ""
		}
	}
	return ""
}

// plain returns the text of a Markdown node without its marks.
func plain(n ast.Node, source []byte) string {
	var b strings.Builder
	ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.Text:
			b.Write(n.Segment.Value(source))
			if n.SoftLineBreak() || n.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(n.Value)
		case *ast.AutoLink:
			b.Write(n.Label(source))
		}
		return ast.WalkContinue, nil
	})
	return strings.Join(strings.Fields(html.UnescapeString(b.String())), " ")
}
