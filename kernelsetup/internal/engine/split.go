package engine

import (
	"go/scanner"
	"go/token"
)

// item is one declaration or statement at a cell's top level.
type item struct {
	start, end int // byte offsets; end is behind the last token
	decl       bool
	tok        token.Token // the first token
	semicolon  bool        // followed by a semicolon that is in the source
	last       int         // offset behind that semicolon, or end
	list       bool        // a statement of several expressions: a, b
}

// lexed is one token of a cell.
type lexed struct {
	off int
	end int
	tok token.Token
	lit string
}

// tokens scans a cell. Errors are left for the parser to report.
func tokens(src []byte) []lexed {
	fset := token.NewFileSet()
	file := fset.AddFile("", -1, len(src))
	var s scanner.Scanner
	s.Init(file, src, nil, 0)
	var out []lexed
	for {
		pos, tok, lit := s.Scan()
		if tok == token.EOF {
			return out
		}
		off := file.Offset(pos)
		n := len(lit)
		if n == 0 || tok == token.SEMICOLON && lit == "\n" {
			n = len(tok.String())
			if tok == token.SEMICOLON && lit == "\n" {
				n = 0
			}
		}
		out = append(out, lexed{off, min(off+n, len(src)), tok, lit})
	}
}

// split cuts a cell into its top-level items.
func split(src []byte) []item {
	toks := tokens(src)
	var items []item
	for i := 0; i < len(toks); {
		if toks[i].tok == token.SEMICOLON {
			if len(items) > 0 && toks[i].lit == ";" {
				items[len(items)-1].semicolon = true
				items[len(items)-1].last = toks[i].end
			}
			i++
			continue
		}
		it := item{start: toks[i].off, tok: toks[i].tok, decl: isDecl(toks[i:])}
		depth := 0
		commas, plain := 0, isOperand(it.tok)
		for ; i < len(toks); i++ {
			t := toks[i]
			if t.tok == token.SEMICOLON && depth == 0 {
				break
			}
			if depth == 0 {
				switch {
				case t.tok == token.COMMA:
					commas++
				case t.tok >= token.ADD_ASSIGN && t.tok <= token.AND_NOT_ASSIGN, t.tok == token.ASSIGN,
					t.tok == token.DEFINE, t.tok == token.INC, t.tok == token.DEC, t.tok == token.COLON:
					plain = false
				}
			}
			switch t.tok {
			case token.LPAREN, token.LBRACK, token.LBRACE:
				depth++
			case token.RPAREN, token.RBRACK, token.RBRACE:
				if depth > 0 {
					depth--
				}
			}
			it.end = t.end
		}
		it.last = it.end
		it.list = !it.decl && plain && commas > 0
		items = append(items, it)
	}
	return items
}

// isOperand reports whether an expression can begin with a token.
func isOperand(t token.Token) bool {
	switch t {
	case token.FUNC, token.MAP, token.CHAN, token.STRUCT, token.INTERFACE:
		return true
	}
	return !t.IsKeyword()
}

// isDecl reports whether tokens begin a declaration that is kept at package
// level. A func is one when a name follows, or a receiver and a name.
func isDecl(toks []lexed) bool {
	switch toks[0].tok {
	case token.PACKAGE, token.IMPORT, token.CONST, token.TYPE, token.VAR:
		return true
	case token.FUNC:
	default:
		return false
	}
	if len(toks) < 2 || toks[1].tok == token.IDENT {
		return true
	}
	depth := 0
	for i := 1; i < len(toks); i++ {
		switch toks[i].tok {
		case token.LPAREN:
			depth++
		case token.RPAREN:
			depth--
			if depth == 0 {
				return i+2 < len(toks) && toks[i+1].tok == token.IDENT && toks[i+2].tok == token.LPAREN
			}
		}
	}
	return false
}
