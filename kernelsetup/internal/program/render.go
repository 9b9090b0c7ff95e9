package program

import (
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strings"
)

// An edit replaces part of a cell's text.
type edit struct {
	start, end int
	text       string
}

// text writes a node in the program's names, with further edits.
func (c *cell) text(n ast.Node, more ...edit) string { return c.span(n.Pos(), n.End(), n, more...) }

// span writes the text between two positions; within is the node that has all
// of it.
func (c *cell) span(from, to token.Pos, within ast.Node, more ...edit) string {
	src, start := c.record.Places.Find(from)
	_, end := c.record.Places.Find(to)
	if src == nil {
		return ""
	}
	list := append(c.edits(within), more...)
	slices.SortStableFunc(list, func(a, b edit) int { return a.start - b.start })
	var b strings.Builder
	at := start
	for _, e := range list {
		if e.start < at || e.end > end {
			continue
		}
		b.Write(src.Text[at:e.start])
		b.WriteString(e.text)
		at = e.end
	}
	b.Write(src.Text[at:end])
	return b.String()
}

// edits returns what has to change within a node.
func (c *cell) edits(root ast.Node) []edit {
	info := c.record.Info
	selected := map[*ast.Ident]bool{}
	var list []edit
	var stack []ast.Node
	ast.Inspect(root, func(n ast.Node) bool {
		if n == nil {
			stack = stack[:len(stack)-1]
			return true
		}
		stack = append(stack, n)
		switch n := n.(type) {
		case *ast.SelectorExpr:
			selected[n.Sel] = true
		case *ast.Ident:
			if name := c.called(n, selected[n]); name != n.Name {
				at := c.offset(n)
				list = append(list, edit{at, at + len(n.Name), name})
			}
			if _, def := info.Defs[n]; def && slices.Contains(c.record.Unused, n.Pos()) {
				list = append(list, c.use(stack)...)
			}
		}
		return true
	})
	return list
}

// called is what the program calls what an identifier stands for.
func (c *cell) called(id *ast.Ident, selected bool) string {
	info := c.record.Info
	obj := info.Uses[id]
	if obj == nil {
		obj = info.Defs[id]
	}
	if obj == nil || id.Name == "_" {
		return id.Name
	}
	scope := c.record.Pkg.Scope()
	switch o := obj.(type) {
	case *types.PkgName:
		return c.importName(o.Imported(), o.Name())
	case *types.Var:
		if o.IsField() {
			if name := nameOf(o.Type()); o.Embedded() && name != nil && name.Pkg() == c.record.Pkg {
				return c.final(name)
			}
			return id.Name
		}
	case *types.Func:
		if o.Signature().Recv() != nil { // of any type
			if info.Defs[id] == nil {
				return id.Name
			}
			return c.versionName(o, id.Name)
		}
		if info.Defs[id] != nil && o.Pkg() == c.record.Pkg {
			return c.versionName(o, c.final(o))
		}
	}
	if obj.Parent() == scope {
		return c.final(obj)
	}
	// What a dot import names is written with its package.
	if p := obj.Pkg(); p != nil && p != c.record.Pkg && obj.Parent() == p.Scope() && !selected {
		return c.importName(p, p.Name()) + "." + id.Name
	}
	return id.Name
}

// nameOf returns the name that a field of an embedded type has.
func nameOf(t types.Type) *types.TypeName {
	switch t := deref(t).(type) {
	case *types.Alias:
		return t.Obj()
	case *types.Named:
		return t.Obj()
	}
	return nil
}

func deref(t types.Type) types.Type {
	if p, ok := types.Unalias(t).(*types.Pointer); ok {
		return p.Elem()
	}
	return t
}

// versionName is what a function is called where it is declared.
func (w *writer) versionName(fn *types.Func, name string) string {
	if v := w.versions[fn]; v != nil {
		for _, version := range v.list {
			if version.fn == fn {
				return version.name
			}
		}
	}
	return name
}

// use makes a name declared and not used a used one, and takes away an unused
// label. The name is at the end of the stack.
func (c *cell) use(stack []ast.Node) []edit {
	id := stack[len(stack)-1].(*ast.Ident)
	insert := func(pos token.Pos, text string) []edit {
		at := c.record.Places.Offset(pos)
		return []edit{{at, at, text}}
	}
	for i := len(stack) - 2; i >= 0; i-- {
		switch n := stack[i].(type) {
		case *ast.LabeledStmt:
			if n.Label == id {
				return []edit{{c.offset(n), c.record.Places.Offset(n.Colon) + 1, ""}}
			}
		case *ast.AssignStmt, *ast.DeclStmt:
			if i == 0 {
				return nil
			}
			switch parent := stack[i-1].(type) {
			case *ast.BlockStmt, *ast.CaseClause, *ast.LabeledStmt:
				return insert(n.End(), "; _ = "+id.Name)
			case *ast.CommClause:
				if parent.Comm == n {
					return insert(parent.Colon+1, " _ = "+id.Name+";")
				}
				return insert(n.End(), "; _ = "+id.Name)
			}
		case *ast.IfStmt:
			return insert(n.Body.Lbrace+1, " _ = "+id.Name+";")
		case *ast.ForStmt:
			return insert(n.Body.Lbrace+1, " _ = "+id.Name+";")
		case *ast.RangeStmt:
			return insert(n.Body.Lbrace+1, " _ = "+id.Name+";")
		case *ast.SwitchStmt:
			return clauseEdit(n.Body, id.Name, insert)
		case *ast.TypeSwitchStmt:
			return clauseEdit(n.Body, id.Name, insert)
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
