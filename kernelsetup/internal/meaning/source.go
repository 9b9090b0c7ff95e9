package meaning

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"slices"
	"strings"
	"sync"
)

// Source is a cell's text and the files it was parsed as. Declarations and
// statements are parsed apart, each with the other blanked out, so that
// positions stay what they are in the cell.
type Source struct {
	// Name is what errors call the cell.
	Name string
	Text []byte
	// File tells that this is a file of a module, not a cell.
	File bool
	// Program tells that the cell is a complete program: package main … func
	// main.
	Program bool
	// Decls are the declarations.
	Decls []ast.Decl
	// Body holds the statements; nil without any.
	Body *ast.BlockStmt
	// Quiet tells that the cell ends in a semicolon: its last value is not
	// shown.
	Quiet bool

	files []*token.File // it was parsed as
	items []item
	list  bool // ends in several expressions: a, b
}

const (
	declPrefix = "package main;"
	stmtPrefix = "package main;func _() {"
	// listPrefix makes a statement of a list of expressions.
	listPrefix = "_="
)

// place is where one parsed file lies in its cell.
type place struct {
	src    *Source
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
	return min(max(off, 0), len(p.src.Text))
}

// Places finds the cell and the offset of a position. Goroutines that outlive
// their cells ask it while new cells are parsed.
type Places struct {
	Fset  *token.FileSet
	files *sync.Map // *token.File to place
}

// NewPlaces returns places in files of fset.
func NewPlaces(fset *token.FileSet) Places { return Places{fset, new(sync.Map)} }

// Add tells of a file that was parsed as it is.
func (p Places) Add(f *token.File, src *Source) { p.files.Store(f, place{src: src}) }

// Remove forgets the positions in a parsed cell.
func (p Places) Remove(src *Source) {
	for _, f := range src.files {
		p.files.Delete(f)
		p.Fset.RemoveFile(f)
	}
	src.files = nil
}

// Find returns the cell of a position and the offset in it, -1 where there is
// none.
func (p Places) Find(pos token.Pos) (*Source, int) {
	if !pos.IsValid() || p.Fset == nil {
		return nil, -1
	}
	f := p.Fset.File(pos)
	v, ok := p.files.Load(f)
	if !ok {
		return nil, -1
	}
	pl := v.(place)
	return pl.src, pl.offset(f.Offset(pos))
}

// Offset finds a position's offset in its cell, -1 where it is in none.
func (p Places) Offset(pos token.Pos) int {
	src, off := p.Find(pos)
	if src != nil && src.File {
		return -1
	}
	return off
}

// Parse parses a cell. The errors are those of go/parser, in source order.
func (p Places) Parse(name, text string) (*Source, scanner.ErrorList) {
	src := &Source{Name: name, Text: []byte(text)}
	src.items = split(src.Text)
	if n := len(src.items); n > 0 {
		src.Quiet = src.items[n-1].semicolon
		src.Program = src.items[0].tok == token.PACKAGE
	}
	var errs scanner.ErrorList
	if imports, ok := used(text); ok {
		src.items, src.Quiet = nil, true
		f, list := p.parseFile(src, declPrefix+imports, place{prefix: len(declPrefix)})
		if f != nil {
			src.Decls = f.Decls
		}
		return src, list
	}
	if src.Program {
		f, list := p.parseFile(src, text, place{})
		errs = append(errs, list...)
		if f != nil {
			src.Decls = f.Decls
			if f.Name != nil && f.Name.Name != "main" && len(errs) == 0 {
				errs.Add(token.Position{Offset: p.Offset(f.Name.Pos())}, "package "+f.Name.Name+" in a cell: only package main can be run")
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
			src.Decls = f.Decls
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
				src.Body = fn.Body
			}
			if len(f.Decls) > 1 && len(errs) == 0 {
				errs.Add(token.Position{Offset: p.Offset(f.Decls[1].Pos())}, "unexpected }, expected statement")
			}
		}
	}
	errs.Sort()
	return src, errs
}

// parseFile parses one form of a cell; the errors' offsets are the cell's.
func (p Places) parseFile(src *Source, text string, at place) (*ast.File, scanner.ErrorList) {
	base := p.Fset.Base()
	f, err := parser.ParseFile(p.Fset, "", text, mode)
	tf := p.Fset.File(token.Pos(base))
	if tf != nil {
		at.src = src
		p.files.Store(tf, at)
		src.files = append(src.files, tf)
	}
	list, _ := err.(scanner.ErrorList)
	for _, e := range list {
		e.Pos.Offset = place{src, at.prefix, at.insert, at.inserted}.offset(e.Pos.Offset)
		if e.Pos.Offset == len(src.Text) && at.prefix == len(stmtPrefix) {
			e.Msg = strings.Replace(e.Msg, "found '}'", "found the end of the cell", 1)
			e.Msg = strings.Replace(e.Msg, "found 'EOF'", "found the end of the cell", 1)
		}
	}
	return f, list
}

// blank returns the text with either the statements or the declarations
// blanked out.
func (src *Source) blank(decls bool) string {
	out := bytes.Clone(src.Text)
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

// TextOf returns a node's source.
func (p Places) TextOf(n ast.Node) string {
	src, from := p.Find(n.Pos())
	if src == nil {
		return ""
	}
	_, to := p.Find(n.End())
	if to < from {
		return ""
	}
	return string(src.Text[from:to])
}

// DropSyntax lets go of all but the text, for which places ask as long as
// anything of the cell can fail.
func (src *Source) DropSyntax() { src.Decls, src.Body, src.items = nil, nil, nil }

// Lead returns the comments that stand before the declaration or statement
// that begins at an offset, on lines of their own.
func (src *Source) Lead(offset int) string {
	i := slices.IndexFunc(src.items, func(it item) bool { return it.start == offset })
	if i < 0 {
		return ""
	}
	from := 0
	if i > 0 {
		from = src.items[i-1].last
	}
	gap := src.Text[from:offset]
	if from > 0 { // what stands behind an item belongs to it
		_, gap, _ = bytes.Cut(gap, []byte("\n"))
	}
	var b strings.Builder
	for _, t := range Tokens(gap, true) {
		if t.Tok == token.COMMENT && !strings.HasPrefix(t.Text, DirectivePrefix) {
			b.WriteString(t.Text + "\n")
		}
	}
	return b.String()
}
