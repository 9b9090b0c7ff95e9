package meaning

import "go/token"

// item is one declaration or statement at a cell's top level.
type item struct {
	start, end int // byte offsets; end is behind the last token
	decl       bool
	tok        token.Token // the first token
	semicolon  bool        // followed by a semicolon that is in the source
	last       int         // offset behind that semicolon, or end
	list       bool        // a statement of several expressions: a, b
}

// split cuts a cell into its top-level items.
func split(src []byte) []item {
	toks := Tokens(src, false)
	var items []item
	for i := 0; i < len(toks); {
		if toks[i].Tok == token.SEMICOLON {
			if len(items) > 0 && toks[i].Text == ";" {
				items[len(items)-1].semicolon = true
				items[len(items)-1].last = toks[i].End
			}
			i++
			continue
		}
		it := item{start: toks[i].Start, tok: toks[i].Tok, decl: isDecl(toks[i:])}
		depth := 0
		commas, plain := 0, isOperand(it.tok)
		for ; i < len(toks); i++ {
			t := toks[i]
			if t.Tok == token.SEMICOLON && depth == 0 {
				break
			}
			if depth == 0 {
				switch {
				case t.Tok == token.COMMA:
					commas++
				case t.Tok >= token.ADD_ASSIGN && t.Tok <= token.AND_NOT_ASSIGN, t.Tok == token.ASSIGN,
					t.Tok == token.DEFINE, t.Tok == token.INC, t.Tok == token.DEC, t.Tok == token.COLON:
					plain = false
				}
			}
			depth = max(depth+step(t.Tok), 0)
			it.end = t.End
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
func isDecl(toks []Token) bool {
	switch toks[0].Tok {
	case token.PACKAGE, token.IMPORT, token.CONST, token.TYPE, token.VAR:
		return true
	case token.FUNC:
	default:
		return false
	}
	if len(toks) < 2 || toks[1].Tok == token.IDENT {
		return true
	}
	depth := 0
	for i := 1; i < len(toks); i++ {
		switch toks[i].Tok {
		case token.LPAREN:
			depth++
		case token.RPAREN:
			depth--
			if depth == 0 {
				return i+2 < len(toks) && toks[i+1].Tok == token.IDENT && toks[i+2].Tok == token.LPAREN
			}
		}
	}
	return false
}
