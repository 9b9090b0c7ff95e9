package help

import (
	"go/token"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// situation is what kind of place the cursor is in.
type situation int

const (
	nowhere    situation = iota // in a comment or a number
	name                        // an identifier, perhaps of length zero
	member                      // behind a dot
	importPath                  // in the string of an import
	text                        // in another string
)

// place describes the cursor's place.
type place struct {
	situation
	// start and end bound what a completion replaces.
	start, end int
	// prefix is the text from start to the cursor.
	prefix string
	// tokens are those before start; the last one is what stands before.
	tokens []meaning.Token
}

// locate finds out where the cursor is.
func locate(source string, cursor int) place {
	cursor = min(max(cursor, 0), len(source))
	p := place{situation: name, start: cursor, end: cursor}
	tokens := meaning.Tokens([]byte(source), true)
	for i, t := range tokens {
		if t.Start >= cursor && !(t.Tok == token.IDENT && t.Start == cursor) {
			break
		}
		p.tokens = tokens[:i+1]
		if cursor > t.End || t.Start == t.End || cursor == t.End && !(t.Tok == token.IDENT || t.Tok.IsKeyword() || t.Tok == token.COMMENT && (strings.HasPrefix(t.Text, "//") || !strings.HasSuffix(t.Text, "*/")) || unclosed(t)) {
			continue
		}
		p.tokens = tokens[:i]
		switch {
		case t.Tok == token.IDENT || t.Tok.IsKeyword():
			p.start, p.end = t.Start, t.End
		case t.Tok == token.STRING:
			p.string(source, t, cursor)
			return p
		case t.Tok == token.COMMENT, t.Tok == token.INT, t.Tok == token.FLOAT, t.Tok == token.CHAR, t.Tok == token.IMAG:
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
		case last.Tok == token.PERIOD:
			p.situation = member
		case (last.Tok == token.INT || last.Tok == token.FLOAT) && last.End == p.start:
			p.situation = nowhere
		}
	}
	return p
}

// unclosed reports whether a string ends with the line or the cell, not with
// its quote.
func unclosed(t meaning.Token) bool {
	if t.Tok != token.STRING {
		return false
	}
	return len(t.Text) < 2 || t.Text[len(t.Text)-1] != t.Text[0]
}

// string sets the place inside a string literal: only the part behind the
// last slash is replaced in paths of files, all of it in those of imports.
func (p *place) string(source string, t meaning.Token, cursor int) {
	open := t.Start + 1
	if cursor < open {
		p.situation = nowhere
		return
	}
	end := t.End
	if !unclosed(t) {
		end--
	}
	// An unclosed string ends at the cursor: what follows was meant to be
	// outside.
	if unclosed(t) {
		end = cursor
	}
	p.start, p.end, p.prefix = open, max(end, cursor), source[open:cursor]
	p.situation = text
	if inImport(p.tokens) {
		p.situation = importPath
	}
}

// inImport reports whether the next token belongs to an import declaration.
func inImport(tokens []meaning.Token) bool {
	for i := len(tokens) - 1; i >= 0; i-- {
		switch tokens[i].Tok {
		case token.IMPORT:
			return true
		case token.STRING, token.IDENT, token.PERIOD, token.LPAREN, token.COMMENT:
		case token.SEMICOLON:
			if tokens[i].Text == ";" {
				return false
			}
		default:
			return false
		}
	}
	return false
}

// brackets returns the brackets open after the tokens, outermost first.
func brackets(tokens []meaning.Token) []meaning.Token {
	var open []meaning.Token
	for _, t := range tokens {
		switch t.Tok {
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
