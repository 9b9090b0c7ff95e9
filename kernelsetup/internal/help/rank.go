package help

import (
	"go/ast"
	"go/token"
	"go/types"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
)

// matchOf describes an object as a match; names of package from stay
// unqualified.
func matchOf(obj types.Object, from *types.Package) execution.Match {
	m := execution.Match{Text: obj.Name(), Type: "variable"}
	short := func(p *types.Package) string {
		if p == from {
			return ""
		}
		return p.Name()
	}
	switch obj := obj.(type) {
	case *types.Func:
		m.Type = "function"
		m.Signature = types.TypeString(obj.Type(), short)
	case *types.Builtin:
		m.Type = "function"
	case *types.TypeName:
		m.Type = "type"
	case *types.PkgName:
		m.Type, m.Signature = "module", obj.Imported().Path()
	case *types.Const:
		m.Type, m.Signature = "constant", types.TypeString(obj.Type(), short)
	case *types.Label, *types.Nil:
		m.Type = "keyword"
	case *types.Var:
		if obj.IsField() {
			m.Type = "field"
		}
		m.Signature = types.TypeString(obj.Type(), short)
	}
	return m
}

// rankOf puts what fits the expected type first.
func rankOf(obj types.Object, expected types.Type) int {
	if expected == nil {
		return 0
	}
	t := obj.Type()
	if t == nil {
		return 0
	}
	if _, ok := obj.(*types.TypeName); ok {
		return 0
	}
	if types.AssignableTo(t, expected) {
		return -40
	}
	if s, ok := t.(*types.Signature); ok && s.Results().Len() > 0 && types.AssignableTo(s.Results().At(0).Type(), expected) {
		return -35
	}
	return 0
}

// expected returns the type that the surroundings want at the stand-in, or at
// the expression n levels above it; nil where they want none.
func (a *Assistant) expected(u *understood, n int) types.Type {
	if u.Info == nil || u.ident() == nil {
		return nil
	}
	expr, _ := u.parent(n).(ast.Expr)
	switch p := u.parent(n + 1).(type) {
	case *ast.CallExpr:
		s, ok := typeUnder[*types.Signature](u.Info, p.Fun)
		if !ok || isBuiltin(u.Info, p.Fun, "append") {
			return appended(u.Info, p, expr)
		}
		for i, arg := range p.Args {
			if arg == expr {
				return parameter(s, i)
			}
		}
	case *ast.AssignStmt:
		if p.Tok == token.DEFINE || len(p.Lhs) != len(p.Rhs) {
			return nil
		}
		for i, r := range p.Rhs {
			if r == expr {
				return u.Info.TypeOf(p.Lhs[i])
			}
		}
	case *ast.IndexExpr:
		if p.Index == expr {
			return indexType(u.Info.TypeOf(p.X))
		}
	case *ast.SendStmt:
		if c, ok := typeUnder[*types.Chan](u.Info, p.Chan); ok && p.Value == expr {
			return c.Elem()
		}
	case *ast.CaseClause:
		if s, ok := u.parent(n + 3).(*ast.SwitchStmt); ok && s.Tag != nil {
			return u.Info.TypeOf(s.Tag)
		}
	case *ast.CompositeLit:
		return elementType(u.Info.TypeOf(p))
	case *ast.BinaryExpr:
		if p.Op == token.SHL || p.Op == token.SHR {
			return nil
		}
		if p.X == expr {
			return u.Info.TypeOf(p.Y)
		}
		return u.Info.TypeOf(p.X)
	case *ast.KeyValueExpr:
		if id, ok := p.Key.(*ast.Ident); ok && p.Value == expr {
			if f := u.Info.Uses[id]; f != nil {
				return f.Type()
			}
		}
	case *ast.ValueSpec:
		if p.Type != nil && p.Type != expr {
			return u.Info.TypeOf(p.Type)
		}
	case *ast.ReturnStmt:
		return u.result(p, expr)
	}
	return nil
}

// result returns the type of the result that an expression of a return
// statement is for.
func (u *understood) result(ret *ast.ReturnStmt, expr ast.Expr) types.Type {
	var results *ast.FieldList
	for i := len(u.path) - 1; i >= 0 && results == nil; i-- {
		switch f := u.path[i].(type) {
		case *ast.FuncDecl:
			results = f.Type.Results
		case *ast.FuncLit:
			results = f.Type.Results
		}
	}
	if results == nil {
		return nil
	}
	var kinds []ast.Expr
	for _, f := range results.List {
		for range max(1, len(f.Names)) {
			kinds = append(kinds, f.Type)
		}
	}
	for i, r := range ret.Results {
		if r == expr && i < len(kinds) {
			return u.Info.TypeOf(kinds[i])
		}
	}
	return nil
}

// wantsType reports whether the stand-in is where a type is written.
func (a *Assistant) wantsType(u *understood) bool {
	id := u.ident()
	switch p := u.parent(1).(type) {
	case *ast.Field:
		return p.Type == id
	case *ast.ValueSpec:
		return p.Type == id
	case *ast.TypeSpec:
		return p.Type == id
	case *ast.ArrayType:
		return p.Elt == id
	case *ast.MapType, *ast.ChanType, *ast.TypeAssertExpr:
		return true
	case *ast.CompositeLit:
		return p.Type == id
	}
	return false
}

// parameter returns the type of the i-th argument.
func parameter(s *types.Signature, i int) types.Type {
	n := s.Params().Len()
	if s.Variadic() && i >= n-1 {
		if slice, ok := s.Params().At(n - 1).Type().(*types.Slice); ok {
			return notEmpty(slice.Elem())
		}
		return nil
	}
	if i >= n {
		return nil
	}
	return notEmpty(s.Params().At(i).Type())
}

// notEmpty drops types that anything fits.
func notEmpty(t types.Type) types.Type {
	if i, ok := t.Underlying().(*types.Interface); ok && i.Empty() {
		return nil
	}
	if _, ok := t.(*types.TypeParam); ok {
		return nil
	}
	return t
}

func typeUnder[T types.Type](info *types.Info, e ast.Expr) (T, bool) {
	var none T
	t := info.TypeOf(e)
	if t == nil {
		return none, false
	}
	u, ok := t.Underlying().(T)
	return u, ok
}
