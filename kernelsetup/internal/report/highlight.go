package report

import (
	"go/scanner"
	"go/token"
	"html"
	"strings"
)

// highlight marks Go source up for reading. Source that is not Go is shown
// plain from where it stops being so.
func highlight(source string) string {
	fset := token.NewFileSet()
	file := fset.AddFile("", fset.Base(), len(source))
	var s scanner.Scanner
	s.Init(file, []byte(source), func(token.Position, string) {}, scanner.ScanComments)
	var b strings.Builder
	last := 0
	for {
		pos, tok, text := s.Scan()
		if tok == token.EOF {
			break
		}
		at := file.Offset(pos)
		if tok == token.SEMICOLON || at < last {
			continue
		}
		if text == "" {
			text = tok.String()
		}
		if at+len(text) > len(source) {
			break
		}
		// The scanner drops carriage returns in what it hands out.
		if source[at:at+len(text)] != text {
			continue
		}
		b.WriteString(html.EscapeString(source[last:at]))
		last = at + len(text)
		if class := classOf(tok); class != "" {
			b.WriteString(`<span class="` + class + `">` + html.EscapeString(text) + "</span>")
		} else {
			b.WriteString(html.EscapeString(text))
		}
	}
	b.WriteString(html.EscapeString(source[last:]))
	return b.String()
}

func classOf(tok token.Token) string {
	switch {
	case tok.IsKeyword():
		return "k"
	case tok == token.COMMENT:
		return "c"
	case tok == token.STRING || tok == token.CHAR:
		return "s"
	case tok == token.INT || tok == token.FLOAT || tok == token.IMAG:
		return "n"
	}
	return ""
}
