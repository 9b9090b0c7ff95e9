package engine

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"strings"
	"sync"
)

// source is a cell's text and the files it was parsed as. Declarations and
// statements are parsed apart, each with the other blanked out, so that
// positions stay what they are in the cell.
type source struct {
	name string
	text []byte
	file bool // a file of the module around the notebook, not a cell

	items   []item
	program bool // a complete program: package main … func main
	decls   []ast.Decl
	body    *ast.BlockStmt // nil without statements
	cellFn  *ast.FuncDecl
	quiet   bool // ends in a semicolon: the last value is not shown
	list    bool // ends in several expressions: a, b
}

const (
	declPrefix = "package main;"
	stmtPrefix = "package main;func _() {"
	// listPrefix makes a statement of a list of expressions.
	listPrefix = "_="
)

// place is where one parsed file lies in its cell.
type place struct {
	src    *source
	prefix int
	// insert and inserted are where text was put in that the cell does not
	// have, and how much.
	insert, inserted int
}

// offset turns an offset in the parsed text into one in the cell.
func (p place) offset(off int) int {
	off -= p.prefix
	if p.inserted > 0 && off >= p.insert {
		off = max(off-p.inserted, p.insert)
	}
	return min(max(off, 0), len(p.src.text))
}

// placer finds the cell and the offset of a position. Goroutines that outlive
// their cells ask it while new cells are parsed.
type placer struct {
	fset  *token.FileSet
	files *sync.Map // *token.File to place
}

func (p placer) find(pos token.Pos) (*source, int) {
	if !pos.IsValid() || p.fset == nil {
		return nil, -1
	}
	f := p.fset.File(pos)
	v, ok := p.files.Load(f)
	if !ok {
		return nil, -1
	}
	pl := v.(place)
	return pl.src, pl.offset(f.Offset(pos))
}

// offset finds a position's offset in its cell, -1 where it is in none.
func (p placer) offset(pos token.Pos) int {
	src, off := p.find(pos)
	if src != nil && src.file {
		return -1
	}
	return off
}

// lineColumn counts from 1; the column counts bytes.
func lineColumn(text []byte, off int) (line, column int) {
	line = 1 + bytes.Count(text[:off], []byte("\n"))
	return line, off - (bytes.LastIndexByte(text[:off], '\n') + 1) + 1
}

func sourceLine(text []byte, line int) string {
	lines := strings.Split(string(text), "\n")
	if line < 1 || line > len(lines) {
		return ""
	}
	return strings.TrimRight(lines[line-1], "\r")
}

// parse parses a cell. The errors are those of go/parser, in source order.
func (p placer) parse(name, text string) (*source, scanner.ErrorList) {
	src := &source{name: name, text: []byte(text)}
	src.items = split(src.text)
	if n := len(src.items); n > 0 {
		src.quiet = src.items[n-1].semicolon
		src.program = src.items[0].tok == token.PACKAGE
	}
	errs := embedInCell(src.text)
	if src.program {
		f, list := p.parseFile(src, text, place{})
		errs = append(errs, list...)
		if f != nil {
			src.decls = f.Decls
			if f.Name != nil && f.Name.Name != "main" && len(errs) == 0 {
				errs.Add(token.Position{Offset: p.offset(f.Name.Pos())}, "package "+f.Name.Name+" in a cell: only package main can be run")
			}
		}
		return src, errs
	}
	hasDecl, hasStmt := false, false
	for _, it := range src.items {
		hasDecl = hasDecl || it.decl
		hasStmt = hasStmt || !it.decl
	}
	if hasDecl {
		f, list := p.parseFile(src, declPrefix+src.blank(false), place{prefix: len(declPrefix)})
		errs = append(errs, list...)
		if f != nil {
			src.decls = f.Decls
		}
	}
	if hasStmt {
		text, at := src.blank(true), place{prefix: len(stmtPrefix)}
		if last := src.items[len(src.items)-1]; last.list {
			src.list = true
			at.insert, at.inserted = last.start, len(listPrefix)
			text = text[:last.start] + listPrefix + text[last.start:]
		}
		f, list := p.parseFile(src, stmtPrefix+text+"\n}", at)
		errs = append(errs, list...)
		if f != nil && len(f.Decls) > 0 {
			if fn, ok := f.Decls[0].(*ast.FuncDecl); ok && fn.Body != nil {
				src.cellFn, src.body = fn, fn.Body
			}
			if len(f.Decls) > 1 && len(errs) == 0 {
				errs.Add(token.Position{Offset: p.offset(f.Decls[1].Pos())}, "unexpected }, expected statement")
			}
		}
	}
	errs.Sort()
	return src, errs
}

// embedInCell refuses //go:embed lines, which mean something to a build alone.
func embedInCell(text []byte) (errs scanner.ErrorList) {
	if !bytes.Contains(text, []byte(embedMark)) {
		return nil
	}
	file := token.NewFileSet().AddFile("", -1, len(text))
	var s scanner.Scanner
	s.Init(file, text, nil, scanner.ScanComments)
	for pos, tok, lit := s.Scan(); tok != token.EOF; pos, tok, lit = s.Scan() {
		if tok == token.COMMENT && strings.HasPrefix(lit, embedMark+" ") {
			errs.Add(token.Position{Offset: file.Offset(pos)}, "//go:embed works in a package beside go.mod, not in a cell; a cell reads the file: os.ReadFile")
		}
	}
	return errs
}

// parseFile parses one form of a cell; the errors' offsets are the cell's.
func (p placer) parseFile(src *source, text string, at place) (*ast.File, scanner.ErrorList) {
	base := p.fset.Base()
	f, err := parser.ParseFile(p.fset, "", text, parser.ParseComments|parser.SkipObjectResolution|parser.AllErrors)
	tf := p.fset.File(token.Pos(base))
	if tf != nil {
		at.src = src
		p.files.Store(tf, at)
	}
	list, _ := err.(scanner.ErrorList)
	for _, e := range list {
		e.Pos.Offset = place{src, at.prefix, at.insert, at.inserted}.offset(e.Pos.Offset)
		if e.Pos.Offset == len(src.text) && at.prefix == len(stmtPrefix) {
			e.Msg = strings.Replace(e.Msg, "found '}'", "found the end of the cell", 1)
			e.Msg = strings.Replace(e.Msg, "found 'EOF'", "found the end of the cell", 1)
		}
	}
	return f, list
}

// blank returns the text with either the statements or the declarations
// blanked out.
func (src *source) blank(decls bool) string {
	out := bytes.Clone(src.text)
	for _, it := range src.items {
		if it.decl != decls {
			continue
		}
		for i := it.start; i < it.last; i++ {
			if out[i] != '\n' && out[i] != '\r' {
				out[i] = ' '
			}
		}
	}
	return string(out)
}

// textOf returns a node's source.
func (p placer) textOf(n ast.Node) string {
	src, from := p.find(n.Pos())
	if src == nil {
		return ""
	}
	_, to := p.find(n.End())
	if to < from {
		return ""
	}
	return string(src.text[from:to])
}
