package interpreter

import (
	"go/ast"
	"go/constant"
	"go/types"
	"reflect"

	"golang.org/x/tools/go/ssa"
)

// A table is a variable of a package from source whose initial value is a
// large literal of constants, or comes from files. Such are filled in directly: as code, a store
// for each element, they take most of the time of an import, and of its memory.
type table struct {
	global  *ssa.Global
	literal *ast.CompositeLit
	info    *types.Info

	// In place of a literal: what //go:embed gives, or what was taken out
	// before.
	embedded any
	plain    *plainTable
}

// tableSize is from how many elements on a literal is a table.
var tableSize = 32

// splitTables takes the tables out of the order of initialisation. Nothing
// that is initialised can tell: a table depends on nothing.
func splitTables(info *types.Info, lifted map[*types.Var]bool) (order []*types.Initializer, tables map[*types.Var]*ast.CompositeLit) {
	tables = map[*types.Var]*ast.CompositeLit{}
	for _, in := range info.InitOrder {
		if len(in.Lhs) == 1 && lifted[in.Lhs[0]] {
			continue
		}
		if len(in.Lhs) == 1 && in.Lhs[0].Name() != "_" {
			lit, ok := ast.Unparen(in.Rhs).(*ast.CompositeLit)
			if ok && countConstants(info, lit, in.Lhs[0].Type()) >= tableSize {
				tables[in.Lhs[0]] = lit
				continue
			}
		}
		order = append(order, in)
	}
	return order, tables
}

// countConstants returns how many constants make up the value of an
// expression that is stored as a t, or a large negative number if other
// things do.
func countConstants(info *types.Info, e ast.Expr, t types.Type) int {
	const other = -1 << 40
	tv := info.Types[e]
	if tv.Value != nil {
		b, ok := t.Underlying().(*types.Basic)
		if !ok || b.Info()&(types.IsBoolean|types.IsInteger|types.IsFloat|types.IsString) == 0 {
			return other
		}
		return 1
	}
	lit, ok := ast.Unparen(e).(*ast.CompositeLit)
	if !ok || !types.Identical(tv.Type, t) {
		return other
	}
	n := 0
	switch u := t.Underlying().(type) {
	case *types.Array:
		for _, el := range lit.Elts {
			n += countConstants(info, valueOfElement(el), u.Elem())
		}
	case *types.Slice:
		for _, el := range lit.Elts {
			n += countConstants(info, valueOfElement(el), u.Elem())
		}
	case *types.Struct:
		for i, el := range lit.Elts {
			n += countConstants(info, valueOfElement(el), u.Field(fieldOfElement(u, el, i)).Type())
		}
	default:
		return other
	}
	return max(n, other)
}

func valueOfElement(el ast.Expr) ast.Expr {
	if kv, ok := el.(*ast.KeyValueExpr); ok {
		return kv.Value
	}
	return el
}

// fieldOfElement is the number of the field that the i-th element is for.
func fieldOfElement(s *types.Struct, el ast.Expr, i int) int {
	if kv, ok := el.(*ast.KeyValueExpr); ok {
		name := kv.Key.(*ast.Ident).Name
		for j := range s.NumFields() {
			if s.Field(j).Name() == name {
				return j
			}
		}
	}
	return i
}

// fill gives the tables their values.
func (s *session) fill(tables []table) error {
	for _, t := range tables {
		v, err := s.machine.Global(t.global)
		if err != nil {
			return err
		}
		if t.embedded != nil {
			setEmbedded(v, t.embedded)
			continue
		}
		if t.plain != nil {
			t.plain.set(v)
			continue
		}
		setConstants(t.info, v, t.literal)
		t.forget()
	}
	return nil
}

func setConstants(info *types.Info, to reflect.Value, e ast.Expr) {
	if c := info.Types[e].Value; c != nil {
		setConstant(to, c)
		return
	}
	lit := ast.Unparen(e).(*ast.CompositeLit)
	switch to.Kind() {
	case reflect.Struct:
		s := info.Types[lit].Type.Underlying().(*types.Struct)
		for i, el := range lit.Elts {
			f := to.Field(fieldOfElement(s, el, i))
			setConstants(info, reflect.NewAt(f.Type(), f.Addr().UnsafePointer()).Elem(), valueOfElement(el))
		}
	case reflect.Slice:
		n := 0
		eachElement(info, lit, func(i int, _ ast.Expr) { n = max(n, i+1) })
		to.Set(reflect.MakeSlice(to.Type(), n, n))
		fallthrough
	case reflect.Array:
		eachElement(info, lit, func(i int, el ast.Expr) { setConstants(info, to.Index(i), el) })
	}
}

// eachElement visits the elements of an array or slice literal.
func eachElement(info *types.Info, lit *ast.CompositeLit, visit func(i int, el ast.Expr)) {
	i := 0
	for _, el := range lit.Elts {
		if kv, ok := el.(*ast.KeyValueExpr); ok {
			n, _ := constant.Int64Val(constant.ToInt(info.Types[kv.Key].Value))
			i = int(n)
		}
		visit(i, valueOfElement(el))
		i++
	}
}

func setConstant(to reflect.Value, c constant.Value) {
	switch to.Kind() {
	case reflect.Bool:
		to.SetBool(constant.BoolVal(c))
	case reflect.String:
		to.SetString(constant.StringVal(c))
	case reflect.Float32:
		f, _ := constant.Float32Val(constant.ToFloat(c))
		to.SetFloat(float64(f))
	case reflect.Float64:
		f, _ := constant.Float64Val(constant.ToFloat(c))
		to.SetFloat(f)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		n, _ := constant.Int64Val(constant.ToInt(c))
		to.SetInt(n)
	default:
		n, _ := constant.Uint64Val(constant.ToInt(c))
		to.SetUint(n)
	}
}

// forget removes from the syntax what a filled table was made of.
func (t table) forget() {
	for _, el := range t.literal.Elts {
		ast.Inspect(el, func(n ast.Node) bool {
			if e, ok := n.(ast.Expr); ok {
				delete(t.info.Types, e)
			}
			return true
		})
	}
	t.literal.Elts = nil
}
