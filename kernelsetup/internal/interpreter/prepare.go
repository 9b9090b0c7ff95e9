package interpreter

import (
	"bytes"
	"go/ast"
	"go/token"
	"strconv"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// prepared is a cell in the form in which it is checked: declarations of a
// package, and one function with its statements. The variables that the
// statements define are the package's.
type prepared struct {
	*meaning.Cell
	units []*unit
	fn    *ast.FuncDecl
}

func ident(name string, pos token.Pos) *ast.Ident { return &ast.Ident{Name: name, NamePos: pos} }

// prepare turns a parsed cell into what is checked.
func (s *session) prepare(src *meaning.Source, name string) (*prepared, *Error) {
	c, problem := s.place.Read(src, func(name string) bool {
		u := s.units[name]
		return u != nil && u.tok == token.VAR
	})
	if problem != nil {
		kind := TypeError
		if problem.Syntax {
			kind = SyntaxError
		}
		e := s.place.errorAt(kind, problem.Pos, problem.Message)
		e.Hint = problem.Hint
		return nil, e
	}
	p := &prepared{Cell: c, units: s.place.unitsOf(src, src.Decls)}
	for _, g := range c.Vars {
		p.units = append(p.units, s.place.genUnits(src, g)...)
	}
	body := &ast.BlockStmt{}
	if src.Body != nil {
		body.Lbrace, body.Rbrace = src.Body.Lbrace, src.Body.Rbrace
	}
	for i, st := range c.Steps {
		switch {
		case st.Stmt == nil:
			body.List = append(body.List, &ast.EmptyStmt{Semicolon: st.Pos, Implicit: true})
		case i == c.ShowAt && (len(c.Show) > 1 || !isCall(c.Show[0])):
			as := &ast.AssignStmt{TokPos: st.Pos, Tok: token.ASSIGN, Rhs: c.Show}
			for range c.Show {
				as.Lhs = append(as.Lhs, ident("_", st.Pos))
			}
			body.List = append(body.List, as)
		default:
			body.List = append(body.List, st.Stmt)
		}
	}
	p.fn = &ast.FuncDecl{Name: ident(name, token.NoPos), Body: body,
		Type: &ast.FuncType{Params: &ast.FieldList{}}}
	if src.Body != nil {
		p.fn.Type.Func = src.Body.Lbrace
		p.fn.Name.NamePos = src.Body.Lbrace
	}
	return p, nil
}

// refused reports what the parser takes and a cell cannot have: a function
// whose body is missing, or begins on the next line, and directives that a
// compiler would obey. A cell that is being typed may have such.
func (p placer) refused(src *meaning.Source) *Error {
	for _, d := range src.Compiler() {
		for _, r := range refusedDirectives {
			if d.Name == r.name {
				e := &Error{Kind: Unsupported, Cell: src.Name, Line: d.Line, Column: 1, Message: "//go:" + r.name + " in a cell: " + r.why, Hint: r.hint}
				e.SourceLine = sourceLine(src.Text, d.Line)
				return e
			}
		}
	}
	for _, d := range src.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Body == nil {
			return p.withoutBody(src, fn)
		}
	}
	return nil
}

// refusedDirectives would be ignored otherwise, and the cell mean something
// else than it says.
var refusedDirectives = []struct{ name, why, hint string }{
	{"embed", "files are embedded when a program is built",
		"It works in a package beside go.mod. A cell reads files when it runs: data, err := os.ReadFile(\"name\") for one, os.DirFS(\"folder\") for an fs.FS."},
	{"linkname", "names of other packages are joined when a program is linked", ""},
}

func (p placer) withoutBody(src *meaning.Source, fn *ast.FuncDecl) *Error {
	_, end := p.Find(fn.End())
	rest := src.Text[end:]
	gap := len(rest) - len(bytes.TrimLeft(rest, " \t\r\n"))
	if gap < len(rest) && rest[gap] == '{' {
		e := &Error{Kind: SyntaxError, Cell: src.Name, Message: "syntax error: unexpected semicolon or newline before {", Hint: braceOnSameLine}
		e.Line, e.Column = lineColumn(src.Text, end+gap)
		e.SourceLine = sourceLine(src.Text, e.Line)
		return e
	}
	return p.errorAt(SyntaxError, fn.Name.Pos(), "missing function body")
}

func isCall(e ast.Expr) bool {
	_, ok := ast.Unparen(e).(*ast.CallExpr)
	return ok
}

func importPath(spec *ast.ImportSpec) string {
	p, err := strconv.Unquote(spec.Path.Value)
	if err != nil {
		return ""
	}
	return p
}
