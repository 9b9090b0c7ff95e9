package program

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strings"
)

// An edit replaces part of the checked text.
type edit struct {
	start, end int
	text       string
}

// identifiers calls f for each identifier between two offsets of the checked
// text.
func (c *cell) identifiers(start, end int, f func(*ast.Ident)) {
	base := c.checked.fset.File(c.checked.file.Package).Base()
	ast.Inspect(c.checked.file, func(n ast.Node) bool {
		if n == nil {
			return false
		}
		from, to := int(n.Pos())-base, int(n.End())-base
		if _, file := n.(*ast.File); !file && (to <= start || from >= end) {
			return false
		}
		if id, ok := n.(*ast.Ident); ok && from >= start && to <= end {
			f(id)
		}
		return true
	})
}

// edits returns what has to change between two offsets of the checked text.
func (c *cell) edits(start, end int) []edit {
	info, base := c.checked.info, c.checked.fset.File(c.checked.file.Package).Base()
	selected := make(map[*ast.Ident]bool)
	ast.Inspect(c.checked.file, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			selected[sel.Sel] = true
		}
		return true
	})
	var list []edit
	c.identifiers(start, end, func(id *ast.Ident) {
		obj := info.Uses[id]
		if obj == nil {
			obj = info.Defs[id]
		}
		if obj == nil {
			return
		}
		name := id.Name
		switch o := obj.(type) {
		case *types.PkgName:
			name = c.importName(o.Imported(), o.Name())
		case *types.Var:
			if o.IsField() && o.Embedded() {
				if named, ok := types.Unalias(deref(o.Type())).(*types.Named); ok && named.Obj().Pkg() == c.checked.pkg {
					name = c.final(o.Name())
				}
			}
		}
		if id.Name != "_" && obj.Parent() != nil && obj.Parent() == c.checked.pkg.Scope() {
			name = c.final(obj.Name())
		}
		// What a dot import names is written with its package.
		if p := obj.Pkg(); p != nil && p != c.checked.pkg && obj.Parent() == p.Scope() && !selected[id] {
			name = c.importName(p, p.Name()) + "." + id.Name
		}
		if name != id.Name {
			list = append(list, edit{int(id.Pos()) - base, int(id.End()) - base, name})
		}
	})
	for _, pos := range c.checked.unused {
		if at := int(pos) - base; at >= start && at < end {
			list = append(list, c.useEdits(pos)...)
		}
	}
	slices.SortStableFunc(list, func(a, b edit) int { return a.start - b.start })
	return list
}

func deref(t types.Type) types.Type {
	if p, ok := t.(*types.Pointer); ok {
		return p.Elem()
	}
	return t
}

// render writes a part of the checked text in the program's names.
func (c *cell) render(start, end int, more ...edit) string {
	list := append(c.edits(start, end), more...)
	slices.SortStableFunc(list, func(a, b edit) int { return a.start - b.start })
	var b strings.Builder
	at := start
	for _, e := range list {
		if e.start < at {
			continue
		}
		b.WriteString(c.checked.text[at:e.start])
		b.WriteString(e.text)
		at = e.end
	}
	b.WriteString(c.checked.text[at:end])
	return b.String()
}

// useEdits makes a name declared and not used a used one, and takes away an
// unused label.
func (c *cell) useEdits(pos token.Pos) []edit {
	base := c.checked.fset.File(c.checked.file.Package).Base()
	var stack []ast.Node
	var found []ast.Node
	ast.Inspect(c.checked.file, func(n ast.Node) bool {
		if n == nil {
			stack = stack[:len(stack)-1]
			return true
		}
		stack = append(stack, n)
		if id, ok := n.(*ast.Ident); ok && id.Pos() == pos {
			found = slices.Clone(stack)
		}
		return true
	})
	if len(found) == 0 {
		return nil
	}
	name := found[len(found)-1].(*ast.Ident).Name
	insert := func(at token.Pos, text string) []edit {
		return []edit{{int(at) - base, int(at) - base, text}}
	}
	for i := len(found) - 2; i > 0; i-- {
		switch n := found[i].(type) {
		case *ast.LabeledStmt:
			if n.Label.Pos() == pos {
				return []edit{{int(n.Pos()) - base, int(n.Colon) + 1 - base, ""}}
			}
		case *ast.AssignStmt, *ast.DeclStmt:
			switch parent := found[i-1].(type) {
			case *ast.BlockStmt, *ast.CaseClause, *ast.LabeledStmt:
				return insert(n.End(), "; _ = "+name)
			case *ast.CommClause:
				if parent.Comm == n {
					return insert(parent.Colon+1, " _ = "+name+";")
				}
				return insert(n.End(), "; _ = "+name)
			}
		case *ast.IfStmt:
			return insert(n.Body.Lbrace+1, " _ = "+name+";")
		case *ast.ForStmt:
			return insert(n.Body.Lbrace+1, " _ = "+name+";")
		case *ast.RangeStmt:
			return insert(n.Body.Lbrace+1, " _ = "+name+";")
		case *ast.SwitchStmt:
			return clauseEdit(n.Body, name, insert)
		case *ast.TypeSwitchStmt:
			return clauseEdit(n.Body, name, insert)
		}
	}
	return nil
}

func clauseEdit(body *ast.BlockStmt, name string, insert func(token.Pos, string) []edit) []edit {
	if len(body.List) == 0 {
		return nil
	}
	return insert(body.List[0].(*ast.CaseClause).Colon+1, " _ = "+name+";")
}

// writeGroup writes a declaration in the program's names.
func (c *cell) writeGroup(g *group) {
	for _, s := range c.checked.segments {
		if s.group == g {
			c.declarations.WriteString(c.render(s.start, s.end))
			c.declarations.WriteString("\n\n")
		}
	}
}

// write writes the cell's steps as a function.
func (c *cell) write() error {
	var body strings.Builder
	for _, step := range c.steps {
		var seg segment
		for _, s := range c.checked.segments {
			if s.step == step {
				seg = s
			}
		}
		switch {
		case step.kind == varDecl:
			c.writeVars(&body, seg)
		case step.define:
			c.writeDefine(&body, seg)
		default:
			c.writeStatement(&body, seg)
		}
	}
	if c.complete && c.declared["main"] {
		fmt.Fprintf(&body, "%s()\n", c.final("main"))
	}
	if strings.TrimSpace(body.String()) == "" {
		return nil
	}
	name := c.unique(fmt.Sprintf("cell%d", c.number))
	if c.mayFail {
		c.entries = append(c.entries, c.tolerateHelper()+"("+name+")")
	} else {
		c.entries = append(c.entries, name+"()")
	}
	fmt.Fprintf(&c.declarations, "func %s() {\n%s}\n\n", name, body.String())
	return nil
}

// writeVars writes variable declarations as assignments.
func (c *cell) writeVars(b *strings.Builder, seg segment) {
	base := c.checked.fset.File(c.checked.file.Package).Base()
	for _, decl := range c.checked.file.Decls {
		gen, ok := decl.(*ast.GenDecl)
		if !ok || int(gen.Pos())-base < seg.start || int(gen.End())-base > seg.end {
			continue
		}
		for _, spec := range gen.Specs {
			v := spec.(*ast.ValueSpec)
			if len(v.Values) == 0 {
				for _, n := range v.Names {
					if n.Name != "_" {
						fmt.Fprintf(b, "%s = *new(%s)\n", c.final(n.Name), c.variables[n.Name].finalType)
					}
				}
				continue
			}
			if v.Type != nil && !slices.ContainsFunc(v.Names, func(n *ast.Ident) bool { return n.Name != "_" }) {
				fmt.Fprintf(b, "var %s\n", c.render(int(v.Pos())-base, int(v.End())-base))
				continue
			}
			var names []string
			for _, n := range v.Names {
				names = append(names, c.final(n.Name))
			}
			first, last := v.Values[0], v.Values[len(v.Values)-1]
			fmt.Fprintf(b, "%s = %s\n", strings.Join(names, ", "), c.render(int(first.Pos())-base, int(last.End())-base))
		}
	}
}

// writeDefine writes a := statement as an assignment.
func (c *cell) writeDefine(b *strings.Builder, seg segment) {
	base := c.checked.fset.File(c.checked.file.Package).Base()
	for _, decl := range c.checked.file.Decls {
		gen, ok := decl.(*ast.GenDecl)
		if !ok || len(gen.Specs) != 1 || int(gen.Specs[0].Pos())-base < seg.start || int(gen.End())-base > seg.end {
			continue
		}
		v := gen.Specs[0].(*ast.ValueSpec)
		var names []string
		for _, n := range seg.step.names {
			names = append(names, c.final(n))
		}
		first, last := v.Values[0], v.Values[len(v.Values)-1]
		fmt.Fprintf(b, "%s = %s\n", strings.Join(names, ", "), c.render(int(first.Pos())-base, int(last.End())-base))
	}
}

// writeStatement writes a statement; the last one, where it is a value, shows
// it.
func (c *cell) writeStatement(b *strings.Builder, seg segment) {
	text := c.render(seg.start, seg.end)
	if expr, ok := c.shown(seg); ok {
		base := c.checked.fset.File(c.checked.file.Package).Base()
		value := c.render(int(expr.Pos())-base, int(expr.End())-base)
		fmt.Fprintf(b, "%s\n", c.showCall(expr, value))
		return
	}
	if expr := c.expression(seg); expr != nil && seg.step.last {
		if _, call := ast.Unparen(expr).(*ast.CallExpr); !call {
			text = "_ = " + strings.TrimSpace(text)
		}
	}
	b.WriteString(text)
	b.WriteByte('\n')
}

// shown returns the expression of a last statement whose value is shown.
func (c *cell) shown(seg segment) (ast.Expr, bool) {
	expr := c.expression(seg)
	if !seg.step.last || seg.step.silenced || expr == nil {
		return nil, false
	}
	if call, ok := ast.Unparen(expr).(*ast.CallExpr); ok {
		if sel, ok := ast.Unparen(call.Fun).(*ast.SelectorExpr); ok {
			if f, ok := c.checked.info.Uses[sel.Sel].(*types.Func); ok && f.Pkg() != nil && f.Pkg().Path() == "fmt" &&
				(strings.HasPrefix(f.Name(), "Print") || strings.HasPrefix(f.Name(), "Fprint")) {
				return nil, false
			}
		}
		if c.checked.info.Types[expr].IsVoid() {
			return nil, false
		}
	}
	return expr, true
}

// expression returns the expression that a statement consists of.
func (c *cell) expression(seg segment) ast.Expr {
	base := c.checked.fset.File(c.checked.file.Package).Base()
	var expr ast.Expr
	for _, decl := range c.checked.file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok || f.Name.Name != "_" {
			continue
		}
		for _, s := range f.Body.List {
			if e, ok := s.(*ast.ExprStmt); ok && int(e.Pos())-base >= seg.start && int(e.End())-base <= seg.end {
				expr = e.X
			}
		}
	}
	return expr
}

// showCall writes the call that shows a value, or ends the program where the
// last of several is an error.
func (c *cell) showCall(expr ast.Expr, value string) string {
	t := c.checked.info.TypeOf(expr)
	if tuple, ok := t.(*types.Tuple); ok {
		t = tuple.At(tuple.Len() - 1).Type()
	}
	pkg := types.NewPackage(notebookPath, "notebook")
	if !types.Implements(t, types.Universe.Lookup("error").Type().Underlying().(*types.Interface)) {
		return c.importName(pkg, pkg.Name()) + ".Show(" + value + ")"
	}
	if c.mayFail {
		return c.showOrPanicHelper() + "(" + value + ")"
	}
	return c.showOrFailHelper() + "(" + value + ")"
}
