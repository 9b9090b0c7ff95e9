package assist

import (
	"go/scanner"
	"go/token"
	"strings"
)

// situation is what kind of place the cursor is in.
type situation int

const (
	nowhere    situation = iota // in a comment or a number
	name                        // an identifier, perhaps of length zero
	member                      // behind a dot
	importPath                  // in the string of an import
	filePath                    // in another string
)

// place describes the cursor's place.
type place struct {
	situation
	// start and end bound what a completion replaces.
	start, end int
	// prefix is the text from start to the cursor.
	prefix string
	// tokens are those before start; the last one is what stands before.
	tokens []lexeme
}

// lexeme is one token with its bounds.
type lexeme struct {
	tok        token.Token
	text       string
	start, end int
}

// lex splits source into tokens, semicolons that Go inserts among them with
// the text "\n". Comments are kept.
func lex(source string) []lexeme {
	fset := token.NewFileSet()
	file := fset.AddFile("", -1, len(source))
	var s scanner.Scanner
	s.Init(file, []byte(source), nil, scanner.ScanComments)
	var list []lexeme
	for {
		pos, tok, text := s.Scan()
		if tok == token.EOF {
			return list
		}
		start := file.Offset(pos)
		length := len(text)
		if text == "" {
			length = len(tok.String())
		}
		if tok == token.SEMICOLON && text == "\n" {
			length = 0
		}
		list = append(list, lexeme{tok, text, start, min(start+length, len(source))})
	}
}

// locate finds out where the cursor is.
func locate(source string, cursor int) place {
	cursor = min(max(cursor, 0), len(source))
	p := place{situation: name, start: cursor, end: cursor}
	tokens := lex(source)
	for i, t := range tokens {
		if t.start >= cursor && !(t.tok == token.IDENT && t.start == cursor) {
			break
		}
		p.tokens = tokens[:i+1]
		if cursor > t.end || t.start == t.end || cursor == t.end && !(t.tok == token.IDENT || t.tok.IsKeyword() || t.tok == token.COMMENT && (strings.HasPrefix(t.text, "//") || !strings.HasSuffix(t.text, "*/")) || unclosed(t)) {
			continue
		}
		p.tokens = tokens[:i]
		switch {
		case t.tok == token.IDENT || t.tok.IsKeyword():
			p.start, p.end = t.start, t.end
		case t.tok == token.STRING:
			p.string(source, t, cursor)
			return p
		case t.tok == token.COMMENT, t.tok == token.INT, t.tok == token.FLOAT, t.tok == token.CHAR, t.tok == token.IMAG:
			p.situation = nowhere
			return p
		default:
			p.tokens = tokens[:i+1]
		}
		break
	}
	p.prefix = source[p.start:cursor]
	if n := len(p.tokens); n > 0 {
		switch last := p.tokens[n-1]; {
		case last.tok == token.PERIOD:
			p.situation = member
		case (last.tok == token.INT || last.tok == token.FLOAT) && last.end == p.start:
			p.situation = nowhere
		}
	}
	return p
}

// unclosed reports whether a string ends with the line or the cell, not with
// its quote.
func unclosed(t lexeme) bool {
	if t.tok != token.STRING {
		return false
	}
	return len(t.text) < 2 || t.text[len(t.text)-1] != t.text[0]
}

// string sets the place inside a string literal: only the part behind the
// last slash is replaced in paths of files, all of it in those of imports.
func (p *place) string(source string, t lexeme, cursor int) {
	open := t.start + 1
	if cursor < open {
		p.situation = nowhere
		return
	}
	end := t.end
	if !unclosed(t) {
		end--
	}
	// An unclosed string ends at the cursor: what follows was meant to be
	// outside.
	if unclosed(t) {
		end = cursor
	}
	p.start, p.end, p.prefix = open, max(end, cursor), source[open:cursor]
	p.situation = filePath
	if inImport(p.tokens) {
		p.situation = importPath
	}
}

// inImport reports whether the next token belongs to an import declaration.
func inImport(tokens []lexeme) bool {
	for i := len(tokens) - 1; i >= 0; i-- {
		switch tokens[i].tok {
		case token.IMPORT:
			return true
		case token.STRING, token.IDENT, token.PERIOD, token.LPAREN, token.COMMENT:
		case token.SEMICOLON:
			if tokens[i].text == ";" {
				return false
			}
		default:
			return false
		}
	}
	return false
}

// brackets returns the brackets open after the tokens, outermost first.
func brackets(tokens []lexeme) []lexeme {
	var open []lexeme
	for _, t := range tokens {
		switch t.tok {
		case token.LPAREN, token.LBRACE, token.LBRACK:
			open = append(open, t)
		case token.RPAREN, token.RBRACE, token.RBRACK:
			if len(open) > 0 {
				open = open[:len(open)-1]
			}
		}
	}
	return open
}
