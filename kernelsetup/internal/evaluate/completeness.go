package evaluate

import (
	"go/parser"
	"go/scanner"
	"go/token"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/toolchain"
)

// Completeness tells whether a cell wants another line: an open bracket,
// string or comment does, and so does a line that ends in an operator.
func (ev *Evaluator) Completeness(source string) (cell.Completeness, string) {
	return completeness(source)
}

func completeness(source string) (cell.Completeness, string) {
	_, source = toolchain.Gets(source)
	err := parseCell(source)
	if err == nil {
		return cell.Complete, ""
	}
	if endsEarly(source, err) {
		return cell.Incomplete, indentOf(source)
	}
	return cell.Invalid, ""
}

// parseCell parses a cell as declarations or as statements, and returns the
// error of the reading that got further.
func parseCell(source string) error { return parseWith(source, parser.SkipObjectResolution) }

func endsEarly(source string, err error) bool {
	list, ok := err.(scanner.ErrorList)
	if !ok || len(list) == 0 {
		return false
	}
	text := list[0].Msg
	return strings.Contains(text, "EOF") ||
		strings.Contains(text, "not terminated") && (strings.Contains(text, "raw") || strings.Contains(text, "comment"))
}

// parseWith reads a cell piece by piece, as it may mix declarations and
// statements: each top-level piece is parsed on its own.
func parseWith(source string, mode parser.Mode) error {
	trimmed := strings.TrimSpace(source)
	if strings.HasPrefix(trimmed, "package ") {
		_, err := parser.ParseFile(token.NewFileSet(), "", source, mode)
		return err
	}
	for _, piece := range pieces(source) {
		if err := parsePiece(piece, mode); err != nil {
			return err
		}
	}
	return nil
}

// parsePiece tries a piece as a declaration and as a statement.
func parsePiece(piece string, mode parser.Mode) error {
	_, asDecl := parser.ParseFile(token.NewFileSet(), "", "package p\n"+piece+"\n", mode)
	if asDecl == nil {
		return nil
	}
	// What is open at the end must stay open: no brace of ours may close it.
	_, asStmt := parser.ParseFile(token.NewFileSet(), "", "package p\nfunc _() {\n"+piece+"\n}", mode)
	if asStmt == nil {
		return nil
	}
	if open(piece) {
		return scanner.ErrorList{{Msg: "unexpected EOF"}}
	}
	return asStmt
}

// pieces cuts source at the ends of lines where no bracket is open and Go
// would insert a semicolon.
func pieces(source string) []string {
	var list []string
	start := 0
	walk(source, func(tok token.Token, text string, depth, offset int) {
		if tok == token.SEMICOLON && depth == 0 && text == "\n" {
			list = append(list, source[start:min(offset, len(source))])
			start = min(offset, len(source))
		}
	})
	if rest := source[start:]; strings.TrimSpace(rest) != "" {
		list = append(list, rest)
	}
	return list
}

// open reports whether a piece ends inside a bracket, a string, a comment, or
// behind an operator.
func open(piece string) bool {
	last, depth, unterminated := token.SEMICOLON, 0, false
	errs := walk(piece, func(tok token.Token, _ string, d, _ int) {
		if tok != token.COMMENT {
			last, depth = tok, d
		}
	})
	for _, e := range errs {
		if strings.Contains(e, "not terminated") && (strings.Contains(e, "raw") || strings.Contains(e, "comment")) {
			unterminated = true
		}
	}
	return depth > 0 || unterminated || last != token.SEMICOLON && last != token.EOF
}

// walk scans source and calls visit with each token, the number of brackets
// open behind it, and its offset. It returns the scanner's complaints.
func walk(source string, visit func(tok token.Token, text string, depth, offset int)) []string {
	var errs []string
	fset := token.NewFileSet()
	file := fset.AddFile("", fset.Base(), len(source))
	var s scanner.Scanner
	s.Init(file, []byte(source), func(_ token.Position, msg string) { errs = append(errs, msg) }, 0)
	depth := 0
	for {
		pos, tok, text := s.Scan()
		if tok == token.EOF {
			return errs
		}
		switch tok {
		case token.LPAREN, token.LBRACE, token.LBRACK:
			depth++
		case token.RPAREN, token.RBRACE, token.RBRACK:
			depth--
		}
		visit(tok, text, depth, file.Offset(pos))
	}
}

// indentOf proposes a tab for each bracket open at the end.
func indentOf(source string) string {
	depth := 0
	walk(source, func(_ token.Token, _ string, d, _ int) { depth = d })
	return strings.Repeat("\t", max(depth, 0))
}
