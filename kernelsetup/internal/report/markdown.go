package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	gmhtml "github.com/yuin/goldmark/renderer/html"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

var markdown = goldmark.New(
	goldmark.WithExtensions(extension.GFM, extension.Footnote),
	goldmark.WithParserOptions(parser.WithAutoHeadingID()),
	goldmark.WithRendererOptions(gmhtml.WithUnsafe()),
)

// markdownCell returns a Markdown cell with its pictures inside.
func markdownCell(c *nbformat.Cell, opt Options) (string, error) {
	var b bytes.Buffer
	if err := convertMarkdown(&b, c.Source()); err != nil {
		return "", err
	}
	return safe(turnLinks(inlinePictures(b.String(), c, opt.Dir), opt)), nil
}

// mathSpan finds formulas, and code so that dollars in it are left alone.
var mathSpan = regexp.MustCompile("(?s)(```.*?```|~~~.*?~~~|`[^`\n]*`)|\\$\\$(.+?)\\$\\$|\\$([^\\s$](?:[^$`\n]*?[^\\s$`])?)\\$")

// convertMarkdown hides formulas from the Markdown rules and sets them as
// readable text afterwards.
func convertMarkdown(w *bytes.Buffer, source string) error {
	var formulas []string
	hidden := replaceSubmatches(mathSpan, source, func(m []string) string {
		switch {
		case m[1] != "":
			return m[0]
		case m[2] != "":
			formulas = append(formulas, `<span class="formula display">`+formula(m[2])+"</span>")
		default:
			formulas = append(formulas, `<span class="formula">`+formula(m[3])+"</span>")
		}
		return fmt.Sprintf("\ue000%d\ue001", len(formulas)-1)
	})
	var b bytes.Buffer
	if err := markdown.Convert([]byte(hidden), &b); err != nil {
		return err
	}
	text := b.String()
	for i, f := range formulas {
		text = strings.ReplaceAll(text, fmt.Sprintf("\ue000%d\ue001", i), f)
	}
	w.WriteString(text)
	return nil
}

func replaceSubmatches(re *regexp.Regexp, s string, f func([]string) string) string {
	var b strings.Builder
	last := 0
	for _, at := range re.FindAllStringSubmatchIndex(s, -1) {
		b.WriteString(s[last:at[0]])
		groups := make([]string, len(at)/2)
		for i := range groups {
			if at[2*i] >= 0 {
				groups[i] = s[at[2*i]:at[2*i+1]]
			}
		}
		b.WriteString(f(groups))
		last = at[1]
	}
	b.WriteString(s[last:])
	return b.String()
}

var pictureSource = regexp.MustCompile(`(<img\b[^>]*?\bsrc=")([^"]*)(")`)

// inlinePictures replaces the names of pictures by the pictures themselves. A
// picture on the web is named, not fetched.
func inlinePictures(page string, c *nbformat.Cell, dir string) string {
	return replaceSubmatches(pictureSource, page, func(m []string) string {
		name := html.UnescapeString(m[2])
		if strings.HasPrefix(name, "data:") {
			return m[0]
		}
		if attached, ok := strings.CutPrefix(name, "attachment:"); ok {
			if kind, data, ok := c.Attachment(attached); ok {
				return m[1] + "data:" + kind + ";base64," + strings.Join(strings.Fields(data), "") + m[3]
			}
		}
		if uri, ok := pictureFile(dir, name); ok {
			return m[1] + uri + m[3]
		}
		return m[1] + m[3] + ` title="` + html.EscapeString("not in this page: "+name) + `"`
	})
}

// maxPicture bounds the file of a picture that goes into a page.
const maxPicture = 64 << 20

// pictureFile reads a picture below dir; nothing outside of it is read.
func pictureFile(dir, name string) (uri string, ok bool) {
	if dir == "" || strings.Contains(name, "://") || !filepath.IsLocal(name) {
		return "", false
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return "", false
	}
	defer root.Close()
	// A pipe would hold up the page for ever, and a video makes no picture.
	if info, err := root.Stat(filepath.FromSlash(name)); err != nil || !info.Mode().IsRegular() || info.Size() > maxPicture {
		return "", false
	}
	data, err := root.ReadFile(filepath.FromSlash(name))
	if err != nil {
		return "", false
	}
	kind := mime.TypeByExtension(filepath.Ext(name))
	if kind == "" {
		kind = http.DetectContentType(data)
	}
	if !strings.HasPrefix(kind, "image/") {
		return "", false
	}
	return "data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data), true
}
