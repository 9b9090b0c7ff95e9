package help

import (
	"go/ast"
	"go/token"
	"go/types"
	"strings"
)

// inConst reports whether the stand-in is in a declaration of constants.
func inConst(u *understood) bool {
	for _, n := range u.path {
		if d, ok := n.(*ast.GenDecl); ok && d.Tok == token.CONST {
			return true
		}
	}
	return false
}

// locals returns the names in scope at the stand-in, innermost first, without
// those of the package.
func locals(u *understood) []types.Object {
	id := u.ident()
	if id == nil || u.Info == nil || u.Info.Scopes == nil {
		return nil
	}
	var list []types.Object
	seen := make(map[string]bool)
	for i := len(u.path) - 2; i >= 0; i-- {
		node := u.path[i]
		if f, ok := node.(*ast.FuncDecl); ok {
			node = f.Type
		}
		if f, ok := node.(*ast.FuncLit); ok {
			node = f.Type
		}
		scope := u.Info.Scopes[node]
		if scope == nil {
			continue
		}
		for _, n := range scope.Names() {
			obj := scope.Lookup(n)
			if !seen[n] && n != standIn && !u.beingDefined(obj) && (obj.Pos() < id.Pos() || !obj.Pos().IsValid()) {
				seen[n] = true
				list = append(list, obj)
			}
		}
	}
	return list
}

// beingDefined reports whether the cursor is in the very statement that
// defines a name, where it cannot be used yet.
func (u *understood) beingDefined(obj types.Object) bool {
	for _, n := range u.path {
		switch n := n.(type) {
		case *ast.AssignStmt:
			for _, l := range n.Lhs {
				if n.Tok == token.DEFINE && l.Pos() == obj.Pos() {
					return true
				}
			}
		case *ast.ValueSpec:
			for _, l := range n.Names {
				if l.Pos() == obj.Pos() {
					return true
				}
			}
		}
	}
	return false
}

// ofCell returns the names that the cell itself declares for the notebook.
func (a *Assistant) ofCell(u *understood) []types.Object {
	if u.Info == nil {
		return nil
	}
	var list []types.Object
	for id, obj := range u.Info.Defs {
		if obj == nil || u.Pkg == nil || id.Name == standIn || strings.Contains(id.Name, "·") || obj.Parent() == nil || u.beingDefined(obj) {
			continue
		}
		if u.Pkg.Scope().Lookup(id.Name) == obj {
			list = append(list, obj)
		}
	}
	return list
}

// inFile returns the names that imports with a dot bring along.
func inFile(u *understood) []types.Object {
	if u.Info == nil {
		return nil
	}
	var list []types.Object
	for node, scope := range u.Info.Scopes {
		if _, ok := node.(*ast.File); !ok {
			continue
		}
		for _, n := range scope.Names() {
			obj := scope.Lookup(n)
			if _, ok := obj.(*types.PkgName); !ok && obj.Exported() {
				list = append(list, obj)
			}
		}
	}
	return list
}

// canStand reports whether a keyword can begin what stands at the cursor: any
// where a statement may begin, few in an expression.
func canStand(tok token.Token, u *understood) bool {
	switch tok {
	case token.FUNC, token.STRUCT, token.MAP, token.CHAN, token.INTERFACE:
		return true
	case token.RANGE:
		if _, ok := u.parent(1).(*ast.AssignStmt); ok {
			return true
		}
	}
	_, expr := u.parent(1).(ast.Expr)
	switch u.parent(1).(type) {
	case *ast.AssignStmt, *ast.ReturnStmt, *ast.ValueSpec, *ast.Field, *ast.IncDecStmt, *ast.SendStmt:
		expr = true
	}
	return !expr
}
