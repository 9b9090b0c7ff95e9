package main

import (
	"bytes"
	"go/ast"
	"go/doc/comment"
	"go/printer"
	"go/token"
	"strings"

	"golang.org/x/tools/go/packages"
)

// textLimit is how much of a doc comment an inspection shows, in bytes,
// rounded up to a paragraph.
const textLimit = 400

// docs returns triples of symbol, signature and text, sorted by symbol.
func (g *generator) docs(pkg *packages.Package) []string {
	d := &docCollector{fset: g.fset, found: make(map[string][2]string)}
	for _, file := range pkg.Syntax {
		if file.Doc != nil {
			if old, ok := d.found[""]; !ok || len(file.Doc.Text()) > len(old[1]) {
				d.found[""] = [2]string{"package " + pkg.Name + " // import " + `"` + pkg.PkgPath + `"`, paragraphs(file.Doc)}
			}
		}
		for _, decl := range file.Decls {
			d.declaration(decl)
		}
	}
	var flat []string
	for _, symbol := range sortedKeys(d.found) {
		flat = append(flat, symbol, d.found[symbol][0], d.found[symbol][1])
	}
	return flat
}

type docCollector struct {
	fset  *token.FileSet
	found map[string][2]string
}

func (d *docCollector) declaration(decl ast.Decl) {
	switch decl := decl.(type) {
	case *ast.FuncDecl:
		symbol := decl.Name.Name
		if decl.Recv != nil {
			symbol = receiverName(decl.Recv.List[0].Type) + "." + symbol
		}
		if !exportedSymbol(symbol) || genericMethod(decl) {
			return
		}
		bare := *decl
		bare.Doc, bare.Body = nil, nil
		d.found[symbol] = [2]string{d.print(&bare), paragraphs(decl.Doc)}
	case *ast.GenDecl:
		for _, spec := range decl.Specs {
			switch spec := spec.(type) {
			case *ast.TypeSpec:
				d.typeSpec(spec, decl)
			case *ast.ValueSpec:
				d.valueSpec(spec, decl)
			}
		}
	}
}

func (d *docCollector) typeSpec(spec *ast.TypeSpec, decl *ast.GenDecl) {
	name := spec.Name.Name
	if !ast.IsExported(name) {
		return
	}
	doc := spec.Doc
	if doc == nil && len(decl.Specs) == 1 {
		doc = decl.Doc
	}
	d.found[name] = [2]string{"type " + d.typeSignature(spec), paragraphs(doc)}
	var fields *ast.FieldList
	switch t := spec.Type.(type) {
	case *ast.StructType:
		fields = t.Fields
	case *ast.InterfaceType:
		fields = t.Methods
	default:
		return
	}
	for _, f := range fields.List {
		text := paragraphs(f.Doc)
		if text == "" {
			text = paragraphs(f.Comment)
		}
		for _, n := range f.Names {
			if !n.IsExported() {
				continue
			}
			signature := "field " + n.Name + " " + d.print(f.Type)
			if t, ok := f.Type.(*ast.FuncType); ok && fields != nil {
				if _, method := spec.Type.(*ast.InterfaceType); method {
					signature = "func (" + name + ") " + n.Name + strings.TrimPrefix(d.print(t), "func")
				}
			}
			d.found[name+"."+n.Name] = [2]string{signature, text}
		}
	}
}

// typeSignature prints a type with its exported fields, without comments.
func (d *docCollector) typeSignature(spec *ast.TypeSpec) string {
	bare := *spec
	bare.Doc, bare.Comment = nil, nil
	switch t := spec.Type.(type) {
	case *ast.StructType:
		bare.Type = &ast.StructType{Fields: exportedFields(t.Fields), Incomplete: t.Incomplete}
	case *ast.InterfaceType:
		bare.Type = &ast.InterfaceType{Methods: exportedFields(t.Methods), Incomplete: t.Incomplete}
	}
	return d.print(&bare)
}

// exportedFields keeps what a reader can name, at most a screenful.
func exportedFields(list *ast.FieldList) *ast.FieldList {
	const screenful = 24
	kept := &ast.FieldList{}
	for _, f := range list.List {
		var names []*ast.Ident
		for _, n := range f.Names {
			if n.IsExported() {
				names = append(names, ast.NewIdent(n.Name))
			}
		}
		if len(f.Names) > 0 && len(names) == 0 {
			continue
		}
		if len(kept.List) == screenful {
			kept.List = append(kept.List, &ast.Field{Type: ast.NewIdent("// ...")})
			break
		}
		kept.List = append(kept.List, &ast.Field{Names: names, Type: f.Type})
	}
	return kept
}

func (d *docCollector) valueSpec(spec *ast.ValueSpec, decl *ast.GenDecl) {
	doc := spec.Doc
	if doc == nil {
		doc = spec.Comment
	}
	if doc == nil || strings.HasPrefix(doc.Text(), "http") {
		doc = decl.Doc
	}
	for i, n := range spec.Names {
		if !n.IsExported() {
			continue
		}
		signature := decl.Tok.String() + " " + n.Name
		if spec.Type != nil {
			signature += " " + d.print(spec.Type)
		}
		if len(spec.Values) == len(spec.Names) {
			if value := d.print(spec.Values[i]); len(value) <= 60 && !strings.Contains(value, "\n") {
				signature += " = " + value
			}
		}
		d.found[n.Name] = [2]string{signature, paragraphs(doc)}
	}
}

func (d *docCollector) print(node any) string {
	var b bytes.Buffer
	config := printer.Config{Mode: printer.UseSpaces, Tabwidth: 4}
	if err := config.Fprint(&b, d.fset, node); err != nil {
		return ""
	}
	return b.String()
}

// paragraphs returns the beginning of a comment as plain text.
func paragraphs(group *ast.CommentGroup) string {
	if group == nil {
		return ""
	}
	parsed := new(comment.Parser).Parse(group.Text())
	plain := string((&comment.Printer{TextWidth: 78}).Text(parsed))
	var b strings.Builder
	for part := range strings.SplitSeq(strings.TrimSpace(plain), "\n\n") {
		if b.Len() > 0 {
			if b.Len()+len(part) > textLimit {
				b.WriteString("\n\n...")
				break
			}
			b.WriteString("\n\n")
		}
		b.WriteString(part)
	}
	return b.String()
}

// receiverName returns the type name of a method's receiver.
func receiverName(expr ast.Expr) string {
	switch t := expr.(type) {
	case *ast.Ident:
		return t.Name
	case *ast.StarExpr:
		return receiverName(t.X)
	case *ast.ParenExpr:
		return receiverName(t.X)
	case *ast.IndexExpr:
		return receiverName(t.X)
	case *ast.IndexListExpr:
		return receiverName(t.X)
	}
	return ""
}

func exportedSymbol(symbol string) bool {
	for part := range strings.SplitSeq(symbol, ".") {
		if !ast.IsExported(part) {
			return false
		}
	}
	return true
}
