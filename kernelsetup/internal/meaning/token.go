package meaning

import (
	"go/scanner"
	"go/token"
	"strings"
)

// A Token is one token of a cell. Start and End count bytes; a semicolon that
// Go inserts at the end of a line has the text "\n" and no length.
type Token struct {
	Tok        token.Token
	Text       string
	Start, End int
}

// Tokens scans a cell, complete or not. Comments are among the tokens where
// they are asked for. Errors are left for the parser to report.
func Tokens(src []byte, comments bool) []Token {
	list, _ := scan(src, comments)
	return list
}

// scan also returns the scanner's complaints.
func scan(src []byte, comments bool) (list []Token, complaints []string) {
	file := token.NewFileSet().AddFile("", -1, len(src))
	var s scanner.Scanner
	mode := scanner.Mode(0)
	if comments {
		mode = scanner.ScanComments
	}
	s.Init(file, src, func(_ token.Position, msg string) { complaints = append(complaints, msg) }, mode)
	for {
		pos, tok, text := s.Scan()
		if tok == token.EOF {
			return list, complaints
		}
		start, length := file.Offset(pos), len(text)
		switch {
		case tok == token.SEMICOLON && text == "\n":
			length = 0
		case length == 0:
			length = len(tok.String())
		}
		list = append(list, Token{tok, text, start, min(start+length, len(src))})
	}
}

// Open counts the brackets that are open behind tokens; negative where more
// are closed than opened.
func Open(tokens []Token) int {
	depth := 0
	for _, t := range tokens {
		depth += step(t.Tok)
	}
	return depth
}

// step is what a token adds to the number of open brackets.
func step(t token.Token) int {
	switch t {
	case token.LPAREN, token.LBRACK, token.LBRACE:
		return 1
	case token.RPAREN, token.RBRACK, token.RBRACE:
		return -1
	}
	return 0
}

// unterminated reports a complaint about a raw string or a comment that more
// lines may end.
func unterminated(complaint string) bool {
	return strings.Contains(complaint, "not terminated") &&
		(strings.Contains(complaint, "raw") || strings.Contains(complaint, "comment"))
}
