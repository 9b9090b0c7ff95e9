package main

import (
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"strconv"
	"strings"

	"golang.org/x/tools/go/ast/astutil"
)

// replaceHidden puts stand-ins for the types of packages that cells cannot
// import: uintptr for what is comparable, a slice for what is not. Compiled
// values keep their true type; the text only has to say as much as a cell
// can see.
func (s *sourcer) replaceHidden(root ast.Node) {
	info := s.pkg.TypesInfo
	hidden := func(n ast.Node) (*ast.SelectorExpr, bool) {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return nil, false
		}
		id, ok := sel.X.(*ast.Ident)
		if !ok {
			return nil, false
		}
		p, ok := info.Uses[id].(*types.PkgName)
		if !ok || p.Imported() == types.Unsafe && sel.Sel.Name == "Pointer" {
			return nil, false
		}
		return sel, !importable(p.Imported().Path())
	}
	standIn := func(t types.Type) ast.Expr {
		if types.Comparable(t) {
			return ast.NewIdent("uintptr")
		}
		return &ast.ArrayType{Elt: ast.NewIdent("uintptr")}
	}
	astutil.Apply(root, func(c *astutil.Cursor) bool {
		n := c.Node()
		if field, ok := n.(*ast.Field); ok && len(field.Names) == 0 {
			// An embedded field keeps its name.
			if sel, ok := hidden(field.Type); ok && c.Parent() != nil {
				if list, ok := c.Parent().(*ast.FieldList); ok && isStructList(root, list) {
					field.Names = []*ast.Ident{ast.NewIdent(sel.Sel.Name)}
				}
			}
		}
		if array, ok := n.(*ast.ArrayType); ok && array.Len != nil {
			if v := info.Types[array.Len].Value; v != nil {
				array.Len = &ast.BasicLit{Kind: token.INT, Value: v.ExactString()}
			}
		}
		if index, ok := n.(*ast.IndexExpr); ok {
			if _, ok := hidden(index.X); ok {
				c.Replace(standIn(info.TypeOf(index)))
				return false
			}
		}
		if index, ok := n.(*ast.IndexListExpr); ok {
			if _, ok := hidden(index.X); ok {
				c.Replace(standIn(info.TypeOf(index)))
				return false
			}
		}
		if sel, ok := hidden(n); ok {
			if value := info.Types[sel].Value; value != nil {
				c.Replace(&ast.BasicLit{Kind: token.INT, Value: value.ExactString()})
			} else {
				c.Replace(standIn(info.TypeOf(sel)))
			}
			return false
		}
		return true
	}, nil)
}

// isStructList reports whether a list of fields is that of a struct.
func isStructList(root ast.Node, list *ast.FieldList) bool {
	found := false
	ast.Inspect(root, func(n ast.Node) bool {
		if t, ok := n.(*ast.StructType); ok && t.Fields == list {
			found = true
		}
		return !found
	})
	return found
}

// literal writes a constant's value so that it keeps its kind.
func literal(obj *types.Const) string {
	v, kind := obj.Val(), types.UntypedNil
	if b, ok := obj.Type().Underlying().(*types.Basic); ok {
		kind = b.Kind()
	}
	switch v.Kind() {
	case constant.String:
		return strconv.Quote(constant.StringVal(v))
	case constant.Int:
		switch kind {
		case types.UntypedRune:
			return `'\x00' + ` + v.ExactString()
		case types.UntypedFloat:
			return v.ExactString() + ".0"
		}
	case constant.Float:
		num, denom, fraction := strings.Cut(v.ExactString(), "/")
		if fraction {
			return num + ".0 / " + denom
		}
	case constant.Complex:
		return "complex(" + constant.Real(v).ExactString() + ", " + constant.Imag(v).ExactString() + ")"
	}
	return v.ExactString()
}
