package engine

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/token"
	"strconv"
)

// prepared is a cell in the form in which it is checked: declarations of a
// package, and one function with its statements. The variables that the
// statements declare are the package's.
type prepared struct {
	src     *source
	units   []*unit
	imports []*ast.ImportSpec
	fn      *ast.FuncDecl
	steps   []step
	show    []ast.Expr // the last expressions
	showAt  int        // its index in steps
	ordered bool       // only declarations: variables are initialised as in a package
}

// step is one thing the cell does when it runs: a statement, or the
// initialisation of variables that it declares.
type step struct {
	pos  token.Pos
	stmt ast.Stmt
	vars *ast.ValueSpec // set after the check, when stmt is nil
	// shown marks the cell's last expressions.
	shown bool
}

func ident(name string, pos token.Pos) *ast.Ident { return &ast.Ident{Name: name, NamePos: pos} }

// prepare turns a parsed cell into what is checked.
func (s *session) prepare(src *source, name string) (*prepared, *Error) {
	p := &prepared{src: src, showAt: -1}
	declared := map[string]bool{}
	for _, d := range src.decls {
		g, ok := d.(*ast.GenDecl)
		if !ok {
			continue
		}
		switch g.Tok {
		case token.IMPORT:
			for _, sp := range g.Specs {
				p.imports = append(p.imports, sp.(*ast.ImportSpec))
			}
		case token.VAR:
			for _, sp := range g.Specs {
				vs := sp.(*ast.ValueSpec)
				p.steps = append(p.steps, step{pos: vs.Pos(), vars: vs})
				for _, n := range vs.Names {
					declared[n.Name] = true
				}
			}
		case token.CONST:
			for _, sp := range g.Specs {
				for _, n := range sp.(*ast.ValueSpec).Names {
					declared[n.Name] = true
				}
			}
		}
	}
	p.units = s.place.unitsOf(src, src.decls)
	p.ordered = src.body == nil
	if src.body != nil {
		if err := s.statements(p, declared); err != nil {
			return nil, err
		}
	}
	sortSteps(p.steps, s.place)
	if p.show != nil {
		for i, st := range p.steps {
			if st.shown {
				p.showAt = i
			}
		}
		if p.showAt != len(p.steps)-1 { // a declaration follows
			p.show, p.showAt = nil, -1
		}
	}
	body := &ast.BlockStmt{}
	if src.body != nil {
		body.Lbrace, body.Rbrace = src.body.Lbrace, src.body.Rbrace
	}
	for i, st := range p.steps {
		switch {
		case st.stmt == nil:
			body.List = append(body.List, &ast.EmptyStmt{Semicolon: st.pos, Implicit: true})
		case i == p.showAt && (len(p.show) > 1 || !isCall(p.show[0])):
			as := &ast.AssignStmt{TokPos: st.pos, Tok: token.ASSIGN, Rhs: p.show}
			for range p.show {
				as.Lhs = append(as.Lhs, ident("_", st.pos))
			}
			body.List = append(body.List, as)
		default:
			body.List = append(body.List, st.stmt)
		}
	}
	p.fn = &ast.FuncDecl{Name: ident(name, token.NoPos), Body: body,
		Type: &ast.FuncType{Params: &ast.FieldList{}}}
	if src.body != nil {
		p.fn.Type.Func = src.body.Lbrace
		p.fn.Name.NamePos = src.body.Lbrace
	}
	return p, nil
}

// bodies reports the first function whose body is missing, or begins on the
// next line. A cell that is being typed may have such.
func (p placer) bodies(src *source) *Error {
	for _, d := range src.decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Body == nil {
			return p.withoutBody(src, fn)
		}
	}
	return nil
}

func (p placer) withoutBody(src *source, fn *ast.FuncDecl) *Error {
	_, end := p.find(fn.End())
	rest := src.text[end:]
	gap := len(rest) - len(bytes.TrimLeft(rest, " \t\r\n"))
	if gap < len(rest) && rest[gap] == '{' {
		e := &Error{Kind: SyntaxError, Cell: src.name, Message: "syntax error: unexpected semicolon or newline before {", Hint: braceOnSameLine}
		e.Line, e.Column = lineColumn(src.text, end+gap)
		e.SourceLine = sourceLine(src.text, e.Line)
		return e
	}
	return p.errorAt(SyntaxError, fn.Name.Pos(), "missing function body")
}

func isCall(e ast.Expr) bool {
	_, ok := ast.Unparen(e).(*ast.CallExpr)
	return ok
}

func sortSteps(steps []step, pl placer) {
	off := func(i int) int { return pl.offset(steps[i].pos) }
	for i := 1; i < len(steps); i++ {
		for j := i; j > 0 && off(j) < off(j-1); j-- {
			steps[j], steps[j-1] = steps[j-1], steps[j]
		}
	}
}

// statements collects the cell's statements; those that declare variables
// become package variables and assignments.
func (s *session) statements(p *prepared, declared map[string]bool) *Error {
	list := p.src.body.List
	for i, st := range list {
		as, ok := st.(*ast.AssignStmt)
		if !ok || as.Tok != token.DEFINE {
			one := step{pos: st.Pos(), stmt: st}
			if es, ok := st.(*ast.ExprStmt); ok && i == len(list)-1 && !p.src.quiet {
				p.show, one.shown = []ast.Expr{es.X}, true
			}
			if ok && p.src.list && i == len(list)-1 {
				one.pos, one.shown, p.show = as.Rhs[0].Pos(), true, as.Rhs
			}
			p.steps = append(p.steps, one)
			continue
		}
		if err := s.define(p, as, declared); err != nil {
			return err
		}
	}
	return nil
}

// define handles x, y := … at the cell's top level.
func (s *session) define(p *prepared, as *ast.AssignStmt, declared map[string]bool) *Error {
	fresh, old := 0, 0
	seen := map[string]bool{}
	for _, e := range as.Lhs {
		id, ok := e.(*ast.Ident)
		if !ok {
			return s.place.errorAt(SyntaxError, e.Pos(), fmt.Sprintf("non-name %s on left side of :=", s.place.textOf(e)))
		}
		if id.Name == "_" {
			continue
		}
		if seen[id.Name] {
			return s.place.errorAt(TypeError, id.Pos(), id.Name+" repeated on left side of :=")
		}
		seen[id.Name] = true
		if declared[id.Name] {
			old++
		} else {
			fresh++
		}
	}
	if fresh == 0 {
		e := s.place.errorAt(TypeError, as.TokPos, "no new variables on left side of :=")
		e.Hint = nothingNew
		return e
	}
	if s.refersToItself(as, seen, declared) {
		// x := f(x) with an x from an earlier cell: a new value for it
		p.steps = append(p.steps, step{pos: as.Pos(), stmt: &ast.AssignStmt{Lhs: as.Lhs, TokPos: as.TokPos, Tok: token.ASSIGN, Rhs: as.Rhs}})
		for n := range seen {
			declared[n] = true
		}
		return nil
	}
	if old == 0 {
		vs := &ast.ValueSpec{Values: as.Rhs}
		for _, e := range as.Lhs {
			vs.Names = append(vs.Names, e.(*ast.Ident))
		}
		p.variables(s, vs)
		p.steps = append(p.steps, step{pos: as.Pos(), vars: vs})
	} else {
		p.partly(s, as, declared)
	}
	for n := range seen {
		declared[n] = true
	}
	return nil
}

// partly handles a := of which some variables were declared before: the new
// ones get a declaration for their types, and all are assigned.
func (p *prepared) partly(s *session, as *ast.AssignStmt, declared map[string]bool) {
	isNew := func(e ast.Expr) bool {
		n := e.(*ast.Ident).Name
		return n != "_" && !declared[n]
	}
	if len(as.Lhs) == len(as.Rhs) {
		for i, e := range as.Lhs {
			if isNew(e) {
				p.variables(s, &ast.ValueSpec{Names: []*ast.Ident{ident(e.(*ast.Ident).Name, e.Pos())}, Values: []ast.Expr{as.Rhs[i]}})
			}
		}
	} else {
		vs := &ast.ValueSpec{Values: as.Rhs}
		for _, e := range as.Lhs {
			name := e.(*ast.Ident).Name
			if !isNew(e) {
				name = "_"
			}
			vs.Names = append(vs.Names, ident(name, e.Pos()))
		}
		p.variables(s, vs)
	}
	p.steps = append(p.steps, step{pos: as.Pos(), stmt: &ast.AssignStmt{Lhs: as.Lhs, TokPos: as.TokPos, Tok: token.ASSIGN, Rhs: as.Rhs}})
}

// variables adds a declaration of package variables.
func (p *prepared) variables(s *session, vs *ast.ValueSpec) {
	g := &ast.GenDecl{TokPos: vs.Pos(), Tok: token.VAR, Specs: []ast.Spec{vs}}
	p.units = append(p.units, s.place.genUnits(p.src, g)...)
}

// refersToItself reports whether the right side of := uses, outside function
// literals, a live variable that the left side would replace, all of the left
// being live.
func (s *session) refersToItself(as *ast.AssignStmt, names, declared map[string]bool) bool {
	for n := range names {
		u := s.units[n]
		if u == nil || u.tok != token.VAR || declared[n] {
			return false
		}
	}
	found := false
	for _, e := range as.Rhs {
		ast.Inspect(e, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.FuncLit:
				return false
			case *ast.Ident:
				found = found || names[n.Name]
			case *ast.SelectorExpr:
				ast.Inspect(n.X, func(m ast.Node) bool {
					if id, ok := m.(*ast.Ident); ok {
						found = found || names[id.Name]
					}
					return true
				})
				return false
			case *ast.KeyValueExpr:
				ast.Inspect(n.Value, func(m ast.Node) bool {
					if id, ok := m.(*ast.Ident); ok {
						found = found || names[id.Name]
					}
					return true
				})
				return false
			}
			return true
		})
	}
	return found
}

func importPath(spec *ast.ImportSpec) string {
	p, err := strconv.Unquote(spec.Path.Value)
	if err != nil {
		return ""
	}
	return p
}
