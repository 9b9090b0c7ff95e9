package interpreter

import (
	"go/ast"
	"go/constant"
	"go/token"
	"reflect"
	"strconv"
	"strings"
)

// A plainTable is a table whose elements are nothing but literals of numbers,
// strings and truth values. In packages of other people, which have compiled
// somewhere, such are taken out of the syntax before the types are checked:
// what the checker notes of each element is most of what a package of tables
// costs in memory, and half of its time.
type plainTable struct {
	name     *ast.Ident
	elements []ast.Expr
	// Of tables of whole numbers these are kept in place of the syntax, which
	// is ten times as large: each as 64 bits with its sign.
	numbers []uint64
}

// liftPlain takes the plain tables out of a package's files. What is left has
// the same type, and no elements.
func liftPlain(files []*ast.File) (list []plainTable) {
	shapes := shapes{}
	for _, f := range files {
		for _, d := range f.Decls {
			shapes.declare(d)
		}
	}
	for _, f := range files {
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.VAR {
				continue
			}
			for _, s := range g.Specs {
				if t, ok := shapes.lift(s.(*ast.ValueSpec)); ok {
					list = append(list, t)
				}
			}
		}
	}
	return list
}

// shapes are a package's own types and whatever else it declares, by name;
// what is no type, or a generic one, is nil.
type shapes map[string]*ast.TypeSpec

func (sh shapes) declare(d ast.Decl) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Recv == nil {
			sh[d.Name.Name] = nil
		}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				sh[s.Name.Name] = nil
				if s.TypeParams == nil {
					sh[s.Name.Name] = s
				}
			case *ast.ValueSpec:
				for _, n := range s.Names {
					sh[n.Name] = nil
				}
			}
		}
	}
}

var plainKinds = map[string]bool{
	"bool": true, "string": true, "byte": true, "rune": true, "int": true, "int8": true, "int16": true, "int32": true, "int64": true,
	"uint": true, "uint8": true, "uint16": true, "uint32": true, "uint64": true, "uintptr": true, "float32": true, "float64": true,
}

// resolve follows names of the package to a type that literals make up: a
// plain one, an array, a slice or a struct; nil for others.
func (sh shapes) resolve(e ast.Expr) ast.Expr {
	for range 10 {
		switch t := ast.Unparen(e).(type) {
		case *ast.Ident:
			spec, own := sh[t.Name]
			switch {
			case spec != nil:
				e = spec.Type
				continue
			case !own && plainKinds[t.Name]:
				return t
			}
			return nil
		case *ast.ArrayType, *ast.StructType:
			return t
		default:
			return nil
		}
	}
	return nil
}

// lift takes the elements out of one declaration.
func (sh shapes) lift(s *ast.ValueSpec) (t plainTable, ok bool) {
	if len(s.Names) != 1 || s.Names[0].Name == "_" || len(s.Values) != 1 {
		return t, false
	}
	lit, ok := ast.Unparen(s.Values[0]).(*ast.CompositeLit)
	if !ok || s.Type != nil {
		return t, false
	}
	array, ok := sh.resolve(lit.Type).(*ast.ArrayType)
	if !ok || sh.count(array, lit) < tableSize {
		return t, false
	}
	if _, open := array.Len.(*ast.Ellipsis); open {
		n, ok := length(lit.Elts)
		if !ok {
			return t, false
		}
		closed := *array
		closed.Len = &ast.BasicLit{ValuePos: array.Len.Pos(), Kind: token.INT, Value: strconv.Itoa(n)}
		lit.Type = &closed
	}
	t = plainTable{name: s.Names[0], elements: lit.Elts}
	if n, ok := sh.numbers(array.Elt, lit.Elts); ok {
		t.elements, t.numbers = nil, n
	}
	lit.Elts = nil
	return t, true
}

// numbers are the elements of a table of whole numbers that has few gaps.
func (sh shapes) numbers(elem ast.Expr, elements []ast.Expr) ([]uint64, bool) {
	kind, ok := sh.resolve(elem).(*ast.Ident)
	if !ok || strings.HasPrefix(kind.Name, "float") {
		return nil, false
	}
	n, _ := length(elements)
	if n > 4*len(elements) {
		return nil, false
	}
	out := make([]uint64, n)
	i := 0
	for _, el := range elements {
		if kv, ok := el.(*ast.KeyValueExpr); ok {
			index, ok := sh.number(kv.Key)
			if !ok {
				return nil, false
			}
			i = int(index)
		}
		if out[i], ok = sh.number(valueOfElement(el)); !ok {
			return nil, false
		}
		i++
	}
	return out, true
}

func (sh shapes) number(e ast.Expr) (uint64, bool) {
	if lit, ok := e.(*ast.BasicLit); ok && lit.Kind == token.INT {
		n, err := strconv.ParseUint(lit.Value, 0, 64)
		return n, err == nil
	}
	v, ok := sh.constant(e)
	if !ok || v.Kind() != constant.Int {
		return 0, false
	}
	n, exact := constant.Int64Val(v)
	return uint64(n), exact
}

// count returns how many literals make up a composite one of a type, or a
// large negative number if other things do.
func (sh shapes) count(typ ast.Expr, lit *ast.CompositeLit) int {
	const other = -1 << 40
	n := 0
	switch t := typ.(type) {
	case *ast.ArrayType:
		if _, ok := length(lit.Elts); !ok {
			return other
		}
		elem := sh.resolve(t.Elt)
		for _, el := range lit.Elts {
			n += sh.countElement(elem, valueOfElement(el))
		}
	case *ast.StructType:
		var fields []ast.Expr
		byName := map[string]ast.Expr{}
		for _, f := range t.Fields.List {
			for _, name := range f.Names {
				fields, byName[name.Name] = append(fields, f.Type), f.Type
			}
			if len(f.Names) == 0 { // embedded
				return other
			}
		}
		for i, el := range lit.Elts {
			var field ast.Expr
			if kv, ok := el.(*ast.KeyValueExpr); ok {
				if key, ok := kv.Key.(*ast.Ident); ok {
					field = byName[key.Name]
				}
			} else if i < len(fields) {
				field = fields[i]
			}
			if field == nil {
				return other
			}
			n += sh.countElement(sh.resolve(field), valueOfElement(el))
		}
	default:
		return other
	}
	return max(n, other)
}

func (sh shapes) countElement(typ, e ast.Expr) int {
	const other = -1 << 40
	switch typ := typ.(type) {
	case *ast.Ident:
		if _, ok := sh.constant(e); ok {
			return 1
		}
	case *ast.ArrayType, *ast.StructType:
		if lit, ok := e.(*ast.CompositeLit); ok && lit.Type == nil {
			return sh.count(typ, lit)
		}
	}
	return other
}

// constant is the value of a literal, which may have a sign.
func (sh shapes) constant(e ast.Expr) (constant.Value, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		v := constant.MakeFromLiteral(e.Value, e.Kind, 0)
		return v, v.Kind() != constant.Unknown && e.Kind != token.IMAG
	case *ast.UnaryExpr:
		if v, ok := sh.constant(e.X); ok && e.Op == token.SUB && v.Kind() != constant.String {
			return constant.UnaryOp(token.SUB, v, 0), true
		}
	case *ast.Ident:
		if _, own := sh[e.Name]; !own && (e.Name == "true" || e.Name == "false") {
			return constant.MakeBool(e.Name == "true"), true
		}
	}
	return nil, false
}

// length is that of an array or slice with these elements; not ok where an
// index is no literal.
func length(elements []ast.Expr) (n int, ok bool) {
	i := 0
	for _, el := range elements {
		if kv, is := el.(*ast.KeyValueExpr); is {
			key, ok := shapes(nil).constant(kv.Key)
			if !ok {
				return 0, false
			}
			index, exact := constant.Int64Val(constant.ToInt(key))
			if !exact || index < 0 || index > 1<<28 {
				return 0, false
			}
			i = int(index)
		}
		i++
		n = max(n, i)
	}
	return n, true
}

// set gives a variable the value of a plain table.
func (t plainTable) set(to reflect.Value) {
	if t.numbers == nil {
		setPlain(to, t.elements)
		return
	}
	if to.Kind() == reflect.Slice {
		to.Set(reflect.MakeSlice(to.Type(), len(t.numbers), len(t.numbers)))
	}
	for i, n := range t.numbers {
		if e := to.Index(i); e.CanInt() {
			e.SetInt(int64(n))
		} else {
			e.SetUint(n)
		}
	}
}

// setPlain gives a variable the value that elements make up.
func setPlain(to reflect.Value, elements []ast.Expr) {
	switch to.Kind() {
	case reflect.Slice:
		n, _ := length(elements)
		to.Set(reflect.MakeSlice(to.Type(), n, n))
		fallthrough
	case reflect.Array:
		i := 0
		for _, el := range elements {
			if kv, ok := el.(*ast.KeyValueExpr); ok {
				key, _ := shapes(nil).constant(kv.Key)
				index, _ := constant.Int64Val(constant.ToInt(key))
				i = int(index)
			}
			setPlainValue(to.Index(i), valueOfElement(el))
			i++
		}
	case reflect.Struct:
		for i, el := range elements {
			f := to.Field(i)
			if kv, ok := el.(*ast.KeyValueExpr); ok {
				f = to.FieldByName(kv.Key.(*ast.Ident).Name)
			}
			setPlainValue(reflect.NewAt(f.Type(), f.Addr().UnsafePointer()).Elem(), valueOfElement(el))
		}
	}
}

func setPlainValue(to reflect.Value, e ast.Expr) {
	if lit, ok := e.(*ast.CompositeLit); ok {
		setPlain(to, lit.Elts)
		return
	}
	v, _ := shapes(nil).constant(e)
	setConstant(to, v)
}
