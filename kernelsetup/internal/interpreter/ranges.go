package interpreter

import (
	"go/ast"
	"go/token"
	"go/types"
)

// constantRanges changes the loops over arrays whose expression is not
// evaluated: those with no variable for elements, over what has a constant
// length. Then for range *p does not mind a p that is nil. The spec has it so
// ("For statements with range clause"); ssa evaluates the expression. What is
// returned takes the changes back.
func constantRanges(f *ast.File, info *types.Info) (restore func()) {
	changed := map[*ast.RangeStmt]ast.Expr{}
	ast.Inspect(f, func(n ast.Node) bool {
		s, ok := n.(*ast.RangeStmt)
		if !ok || s.Value != nil || evaluated(s.X, info) {
			return true
		}
		t := types.Unalias(info.TypeOf(s.X))
		array, ok := t.Underlying().(*types.Array)
		if p, is := t.Underlying().(*types.Pointer); is {
			array, ok = p.Elem().Underlying().(*types.Array)
		}
		if !ok {
			return true
		}
		changed[s] = s.X
		id := ident("nil", s.X.Pos())
		info.Uses[id] = types.Universe.Lookup("nil")
		info.Types[id] = types.TypeAndValue{Type: types.NewPointer(array)}
		s.X = id
		return true
	})
	return func() {
		for s, x := range changed {
			s.X = x
		}
	}
}

// evaluated reports whether len of an array or of a pointer to one is no
// constant: if there are calls or receives in it.
func evaluated(e ast.Expr, info *types.Info) bool {
	found := false
	ast.Inspect(e, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncLit:
			return false
		case *ast.UnaryExpr:
			found = found || n.Op == token.ARROW
		case *ast.CallExpr:
			found = found || info.Types[n].Value == nil && !info.Types[n.Fun].IsType()
		}
		return true
	})
	return found
}
