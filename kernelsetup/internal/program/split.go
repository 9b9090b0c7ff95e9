package program

import (
	"errors"
	"go/parser"
	"go/scanner"
	"go/token"
	"slices"
)

// A chunk is one declaration or statement at the top level of a cell.
type chunk struct {
	kind chunkKind
	// text is the source as written, without the end of line; offset is its
	// place in the cell.
	text   string
	offset int
	// silenced is set for a statement that ends in a written semicolon.
	silenced bool
}

type chunkKind int

const (
	statement chunkKind = iota
	importDecl
	constDecl
	varDecl
	typeDecl
	funcDecl
	methodDecl
	packageClause
)

// split cuts a cell into chunks. Comments between chunks go with the chunk
// that follows.
func split(source string) ([]chunk, error) {
	fset := token.NewFileSet()
	file := fset.AddFile("", -1, len(source))
	var s scanner.Scanner
	var failed error
	s.Init(file, []byte(source), func(pos token.Position, msg string) {
		if failed == nil {
			failed = &positionError{line: pos.Line, err: errors.New(msg)}
		}
	}, 0)
	var chunks []chunk
	var tokens []token.Token
	depth, start, end := 0, 0, 0
	for {
		pos, tok, lit := s.Scan()
		switch tok {
		case token.LPAREN, token.LBRACE, token.LBRACK:
			depth++
		case token.RPAREN, token.RBRACE, token.RBRACK:
			depth--
		}
		if tok != token.EOF && (tok != token.SEMICOLON || depth > 0) {
			tokens = append(tokens, tok)
			end = endOf(file.Offset(pos), tok, lit)
			continue
		}
		if tok == token.SEMICOLON && lit == ";" && len(tokens) > 0 && inHeader(tokens, source[start:end]) {
			tokens = append(tokens, tok)
			end = file.Offset(pos) + 1
			continue
		}
		if len(tokens) > 0 {
			chunks = append(chunks, chunk{
				kind: kindOf(tokens), text: source[start:end], offset: start,
				silenced: tok == token.SEMICOLON && lit == ";",
			})
		}
		tokens = tokens[:0]
		// A comment after the chunk belongs to the next one.
		start = max(start, end)
		if lit == ";" {
			start = file.Offset(pos) + 1
		}
		if tok == token.EOF {
			return chunks, failed
		}
	}
}

// endOf is where a token ends.
func endOf(start int, tok token.Token, lit string) int {
	if tok.IsLiteral() || tok.IsKeyword() {
		return start + len(lit)
	}
	return start + len(tok.String())
}

// inHeader reports whether a semicolon after the text belongs to the header
// of an if, for or switch: what stands before it is no statement yet.
func inHeader(tokens []token.Token, text string) bool {
	header := slices.ContainsFunc(tokens, func(t token.Token) bool {
		return t == token.IF || t == token.FOR || t == token.SWITCH
	})
	if !header {
		return false
	}
	_, err := parser.ParseFile(token.NewFileSet(), "", "package p;func _(){"+text+"\n}", parser.SkipObjectResolution)
	return err != nil
}

// kindOf tells a chunk's kind from its tokens.
func kindOf(tokens []token.Token) chunkKind {
	switch tokens[0] {
	case token.PACKAGE:
		return packageClause
	case token.IMPORT:
		return importDecl
	case token.CONST:
		return constDecl
	case token.VAR:
		return varDecl
	case token.TYPE:
		return typeDecl
	case token.FUNC:
		if len(tokens) > 1 && tokens[1] == token.IDENT {
			return funcDecl
		}
		// func (r T) name( is a method, func (a int) T { a literal.
		depth := 0
		for i, tok := range tokens[1:] {
			switch tok {
			case token.LPAREN:
				depth++
			case token.RPAREN:
				depth--
			}
			if depth == 0 {
				rest := tokens[i+2:]
				if len(rest) > 1 && rest[0] == token.IDENT && rest[1] == token.LPAREN {
					return methodDecl
				}
				break
			}
		}
	}
	return statement
}
