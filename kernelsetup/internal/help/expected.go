package help

import (
	"go/ast"
	"go/types"
)

// isBuiltin reports whether an expression is the named predeclared function.
func isBuiltin(info *types.Info, fun ast.Expr, name string) bool {
	id, ok := ast.Unparen(fun).(*ast.Ident)
	if !ok {
		return false
	}
	b, ok := info.Uses[id].(*types.Builtin)
	return ok && b.Name() == name
}

// appended returns the type of what a call of append adds; nil for other
// calls.
func appended(info *types.Info, call *ast.CallExpr, arg ast.Expr) types.Type {
	if !isBuiltin(info, call.Fun, "append") || len(call.Args) < 2 || call.Args[0] == arg {
		return nil
	}
	return elementType(info.TypeOf(call.Args[0]))
}

// indexType returns the type of what stands in the brackets behind a value.
func indexType(t types.Type) types.Type {
	if t == nil {
		return nil
	}
	switch t := t.Underlying().(type) {
	case *types.Map:
		return notEmpty(t.Key())
	case *types.Slice, *types.Array, *types.Pointer:
		return types.Typ[types.Int]
	case *types.Basic:
		if t.Info()&types.IsString != 0 {
			return types.Typ[types.Int]
		}
	}
	return nil
}

// elementType returns the type of a list's elements; nil for what is no list.
func elementType(t types.Type) types.Type {
	if t == nil {
		return nil
	}
	switch t := t.Underlying().(type) {
	case *types.Slice:
		return notEmpty(t.Elem())
	case *types.Array:
		return notEmpty(t.Elem())
	}
	return nil
}
