package meaning

import (
	"go/ast"
	"go/types"
	"strings"
)

// Shown returns the types of the values that a checked cell shows; none where
// it ends in something else than expressions, in a call without results, in a
// print or in a semicolon. A constant has its default type.
func (c *Cell) Shown(info *types.Info) []types.Type {
	if c.Quiet {
		return nil
	}
	if len(c.Show) == 1 {
		tv := info.Types[c.Show[0]]
		if tv.IsVoid() || tv.Type == nil || isPrint(c.Show[0], info) {
			return nil
		}
	}
	var list []types.Type
	for _, e := range c.Show {
		t := info.TypeOf(e)
		tuple, ok := t.(*types.Tuple)
		if !ok {
			list = append(list, types.Default(t))
			continue
		}
		for v := range tuple.Variables() {
			list = append(list, v.Type())
		}
	}
	return list
}

// isPrint reports whether an expression is a call that prints.
func isPrint(e ast.Expr, info *types.Info) bool {
	call, ok := ast.Unparen(e).(*ast.CallExpr)
	if !ok {
		return false
	}
	var name *ast.Ident
	switch fun := ast.Unparen(call.Fun).(type) {
	case *ast.SelectorExpr:
		name = fun.Sel
	case *ast.Ident: // of an import with a dot
		name = fun
	default:
		return false
	}
	f, ok := info.Uses[name].(*types.Func)
	return ok && f.Pkg() != nil && f.Pkg().Path() == "fmt" &&
		(strings.HasPrefix(f.Name(), "Print") || strings.HasPrefix(f.Name(), "Fprint"))
}

// IsError reports whether a type is error itself. The last of several values
// of that type is not shown where it is nil: it says only that all went well.
func IsError(t types.Type) bool {
	return t != nil && types.Identical(t, types.Universe.Lookup("error").Type())
}

// Fails reports whether a cell fails where its last value, of type t, is not
// nil.
func Fails(t types.Type) bool {
	return types.Implements(t, types.Universe.Lookup("error").Type().Underlying().(*types.Interface))
}
