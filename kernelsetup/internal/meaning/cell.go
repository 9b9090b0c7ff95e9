// Package meaning says what a cell of Go means, as far as its text tells: which
// declarations it makes and which steps it takes in which order, which value
// it shows, which of its lines are none of Go's, and whether it is complete.
// Whoever runs, checks, exports or completes cells asks here.
//
// The statements of a cell are those of a function. Variables that they define
// with := belong to the notebook, as those of a declaration do.
package meaning

import (
	"fmt"
	"go/ast"
	"go/token"
)

// Cell is a parsed cell taken apart.
type Cell struct {
	*Source
	// Imports are its imports, in order.
	Imports []*ast.ImportSpec
	// Vars declare the variables that its statements define. Their values
	// tell the types only: the steps assign them.
	Vars []*ast.GenDecl
	// Steps are what it does, in order.
	Steps []Step
	// Show are the last expressions, whose values are shown where Shown says
	// so; ShowAt is their step, or -1.
	Show   []ast.Expr
	ShowAt int
	// Ordered tells that there are only declarations: variables are
	// initialised in the order of a package.
	Ordered bool
}

// Step is one thing a cell does when it runs: a statement, or the
// initialisation of variables that it declares.
type Step struct {
	Pos  token.Pos
	Stmt ast.Stmt
	// Vars is set where Stmt is nil.
	Vars *ast.ValueSpec
}

// A Problem is a statement that no cell can have at its top level.
type Problem struct {
	Pos           token.Pos
	Syntax        bool // else it is one of types
	Message, Hint string
}

// NothingNew is the hint for a := without a new variable.
const NothingNew = ":= makes a new variable; to give an existing one another value, write =."

// reader takes a cell apart.
type reader struct {
	Cell
	places   Places
	live     func(name string) bool
	declared map[string]bool
}

// Read takes a parsed cell apart. live reports whether a name is a variable of
// an earlier cell: x := f(x) then gives x a new value.
func (p Places) Read(src *Source, live func(name string) bool) (*Cell, *Problem) {
	r := &reader{Cell: Cell{Source: src, ShowAt: -1, Ordered: src.Body == nil}, places: p, live: live, declared: map[string]bool{}}
	for _, d := range src.Decls {
		if g, ok := d.(*ast.GenDecl); ok {
			r.declaration(g)
		}
	}
	if src.Body != nil {
		if err := r.statements(src.Body.List); err != nil {
			return nil, err
		}
	}
	r.sort()
	if r.Show != nil && r.ShowAt != len(r.Steps)-1 { // a declaration follows
		r.Show, r.ShowAt = nil, -1
	}
	return &r.Cell, nil
}

func (r *reader) declaration(g *ast.GenDecl) {
	for _, sp := range g.Specs {
		switch sp := sp.(type) {
		case *ast.ImportSpec:
			r.Imports = append(r.Imports, sp)
		case *ast.ValueSpec:
			if g.Tok == token.VAR {
				r.Steps = append(r.Steps, Step{Pos: sp.Pos(), Vars: sp})
			}
			for _, n := range sp.Names {
				r.declared[n.Name] = true
			}
		}
	}
}

// sort puts the steps in the order of the text.
func (r *reader) sort() {
	off := func(i int) int { return r.places.Offset(r.Steps[i].Pos) }
	for i := 1; i < len(r.Steps); i++ {
		for j := i; j > 0 && off(j) < off(j-1); j-- {
			r.Steps[j], r.Steps[j-1] = r.Steps[j-1], r.Steps[j]
			switch r.ShowAt {
			case j:
				r.ShowAt = j - 1
			case j - 1:
				r.ShowAt = j
			}
		}
	}
}

// statements collects the cell's statements; those that define variables
// become declarations and assignments.
func (r *reader) statements(list []ast.Stmt) *Problem {
	for i, st := range list {
		as, ok := st.(*ast.AssignStmt)
		if ok && as.Tok == token.DEFINE {
			if err := r.define(as); err != nil {
				return err
			}
			continue
		}
		one := Step{Pos: st.Pos(), Stmt: st}
		if i == len(list)-1 {
			switch {
			case ok && r.list: // the assignment is what a list was parsed as
				one.Pos, r.Show = as.Rhs[0].Pos(), as.Rhs
			case !ok:
				if es, ok := st.(*ast.ExprStmt); ok {
					r.Show = []ast.Expr{es.X}
				}
			}
			if r.Show != nil {
				r.ShowAt = len(r.Steps)
			}
		}
		r.Steps = append(r.Steps, one)
	}
	return nil
}

// define handles x, y := … at the cell's top level.
func (r *reader) define(as *ast.AssignStmt) *Problem {
	fresh, old := 0, 0
	seen := map[string]bool{}
	for _, e := range as.Lhs {
		id, ok := e.(*ast.Ident)
		if !ok {
			return &Problem{Pos: e.Pos(), Syntax: true, Message: fmt.Sprintf("non-name %s on left side of :=", r.places.TextOf(e))}
		}
		if id.Name == "_" {
			continue
		}
		if seen[id.Name] {
			return &Problem{Pos: id.Pos(), Message: id.Name + " repeated on left side of :="}
		}
		seen[id.Name] = true
		if r.declared[id.Name] {
			old++
		} else {
			fresh++
		}
	}
	if fresh == 0 {
		return &Problem{Pos: as.TokPos, Message: "no new variables on left side of :=", Hint: NothingNew}
	}
	assign := Step{Pos: as.Pos(), Stmt: &ast.AssignStmt{Lhs: as.Lhs, TokPos: as.TokPos, Tok: token.ASSIGN, Rhs: as.Rhs}}
	switch {
	case r.refersToItself(as, seen):
		// x := f(x) with an x from an earlier cell: a new value for it
		r.Steps = append(r.Steps, assign)
	case old == 0:
		vs := &ast.ValueSpec{Values: as.Rhs}
		for _, e := range as.Lhs {
			vs.Names = append(vs.Names, e.(*ast.Ident))
		}
		r.variables(vs)
		r.Steps = append(r.Steps, Step{Pos: as.Pos(), Vars: vs})
	default:
		r.partly(as)
		r.Steps = append(r.Steps, assign)
	}
	for n := range seen {
		r.declared[n] = true
	}
	return nil
}

// partly handles a := of which some variables were declared before: the new
// ones get a declaration for their types, and all are assigned.
func (r *reader) partly(as *ast.AssignStmt) {
	isNew := func(e ast.Expr) bool {
		n := e.(*ast.Ident).Name
		return n != "_" && !r.declared[n]
	}
	if len(as.Lhs) == len(as.Rhs) {
		for i, e := range as.Lhs {
			if isNew(e) {
				r.variables(&ast.ValueSpec{Names: []*ast.Ident{{Name: e.(*ast.Ident).Name, NamePos: e.Pos()}}, Values: []ast.Expr{as.Rhs[i]}})
			}
		}
		return
	}
	vs := &ast.ValueSpec{Values: as.Rhs}
	for _, e := range as.Lhs {
		name := e.(*ast.Ident).Name
		if !isNew(e) {
			name = "_"
		}
		vs.Names = append(vs.Names, &ast.Ident{Name: name, NamePos: e.Pos()})
	}
	r.variables(vs)
}

// variables adds a declaration of the notebook's variables.
func (r *reader) variables(vs *ast.ValueSpec) {
	r.Vars = append(r.Vars, &ast.GenDecl{TokPos: vs.Pos(), Tok: token.VAR, Specs: []ast.Spec{vs}})
}

// refersToItself reports whether the right side of := uses, outside function
// literals, a live variable that the left side would replace, all of the left
// being live.
func (r *reader) refersToItself(as *ast.AssignStmt, names map[string]bool) bool {
	for n := range names {
		if !r.live(n) || r.declared[n] {
			return false
		}
	}
	found := false
	var look func(n ast.Node)
	look = func(n ast.Node) {
		ast.Inspect(n, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.FuncLit:
				return false
			case *ast.Ident:
				found = found || names[n.Name]
			case *ast.SelectorExpr:
				look(n.X)
				return false
			case *ast.KeyValueExpr:
				look(n.Value)
				return false
			}
			return true
		})
	}
	for _, e := range as.Rhs {
		look(e)
	}
	return found
}
