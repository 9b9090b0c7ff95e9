package interpreter

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"regexp"
	"slices"
	"sort"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// hintName helps with a name that is not declared.
func (c *change) hintName(name string) string {
	s := c.s
	if u := s.units[name]; u != nil && u.broken != "" {
		return fmt.Sprintf("%s was declared in %s but no longer compiles: %s", name, u.src.Name, u.broken)
	}
	if s.imports[name] != "" || c.imports[name] != "" {
		return fmt.Sprintf("%s is a package: what is in it stands behind a dot, as in %s", name, c.example(name))
	}
	for _, p := range s.lib.Paths() {
		if p[strings.LastIndex(p, "/")+1:] == name {
			hint := fmt.Sprintf("package %s is not imported: put import %q at the top of the cell", name, p)
			if meaning.Opens(p) {
				hint += ", or run a cell that says use bonnetbook"
			}
			return hint
		}
	}
	if word := elsewhere[name]; word != "" {
		return fmt.Sprintf("did you mean %s?", word)
	}
	if c.opensWith(name) {
		return fmt.Sprintf("%s is of the library. Run a cell that says use bonnetbook first, as every notebook begins.", name)
	}
	known := c.names()
	for _, n := range known {
		if strings.EqualFold(n, name) {
			return fmt.Sprintf("did you mean %s?", n)
		}
	}
	if n := c.qualified(name); n != "" {
		return fmt.Sprintf("did you mean %s?", n)
	}
	if n := nearest(name, append(known, types.Universe.Names()...)); n != "" {
		return fmt.Sprintf("did you mean %s?", n)
	}
	return ""
}

// elsewhere are words of other languages, with Go's.
var elsewhere = map[string]string{"null": "nil", "None": "nil", "printf": "fmt.Printf", "sqrt": "math.Sqrt"}

// example is what an imported package's name may go on with.
func (c *change) example(name string) string {
	path := cmp.Or(c.imports[name], c.s.imports[name])
	if pkg, err := c.s.packages.Import(path); err == nil {
		for _, n := range exported(pkg) {
			if _, ok := pkg.Scope().Lookup(n).(*types.Func); ok {
				return name + "." + n
			}
		}
	}
	return name + ".X"
}

// opensWith reports whether a name would be known in a notebook that begins as
// those of the course do.
func (c *change) opensWith(name string) bool {
	if slices.Contains(c.s.dots, meaning.Dotted) {
		return false
	}
	pkg, err := c.s.packages.Import(meaning.Dotted)
	return err == nil && token.IsExported(name) && pkg.Scope().Lookup(name) != nil
}

func exported(pkg *types.Package) []string {
	var out []string
	for _, n := range pkg.Scope().Names() {
		if token.IsExported(n) {
			out = append(out, n)
		}
	}
	return out
}

// names returns what the notebook has declared and imported, and what the cell
// declares anywhere.
func (c *change) names() []string {
	s := c.s
	var all []string
	for n := range scopeMap(s.pkg.Scope()) {
		all = append(all, n)
	}
	for n := range s.imports {
		all = append(all, n)
	}
	for _, path := range s.dots {
		if pkg, err := s.packages.Import(path); err == nil {
			all = append(all, exported(pkg)...)
		}
	}
	for id, o := range c.info.Defs {
		if v, ok := o.(*types.Var); ok && !v.IsField() || o != nil && o.Parent() == s.pkg.Scope() {
			all = append(all, id.Name)
		}
	}
	return all
}

// hintAssigned helps with an undeclared name that a statement gives a value.
func (c *change) hintAssigned(name string, in ast.Stmt) string {
	hint := fmt.Sprintf("There is no variable %s yet: use := to make a new variable.", name)
	if as, ok := in.(*ast.AssignStmt); !ok || as.Tok != token.ASSIGN {
		hint = fmt.Sprintf("There is no variable %s yet: make it first, as in %s := 0.", name, name)
	}
	if n := nearest(name, c.names()); n != "" {
		return fmt.Sprintf("did you mean %s? %s", n, hint)
	}
	return hint
}

// assigned returns the statement that gives the name at pos a value, nil
// where it is only read.
func (c *change) assigned(pos token.Pos) (in ast.Stmt) {
	c.inspect(func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.AssignStmt:
			for _, e := range n.Lhs {
				if id, ok := e.(*ast.Ident); ok && id.Pos() == pos && id.Name != "_" && n.Tok != token.DEFINE {
					in = n
				}
			}
		case *ast.IncDecStmt:
			if n.X.Pos() == pos {
				in = n
			}
		}
		return in == nil
	})
	return in
}

// hintMember helps with a field or method that a value does not have.
func (c *change) hintMember(name string, pos token.Pos) string {
	var on types.Type
	c.inspect(func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok && sel.Sel.Pos() == pos {
			on = c.info.TypeOf(sel.X)
		}
		return on == nil
	})
	if n := nearest(name, members(on, c.s.pkg)); n != "" {
		return fmt.Sprintf("did you mean %s?", n)
	}
	return ""
}

// hintKey helps with a key of a struct literal that is no field.
func (c *change) hintKey(name string, pos token.Pos) string {
	var of types.Type
	c.inspect(func(n ast.Node) bool {
		lit, ok := n.(*ast.CompositeLit)
		if !ok {
			return of == nil
		}
		for _, e := range lit.Elts {
			if kv, ok := e.(*ast.KeyValueExpr); ok && kv.Key.Pos() == pos {
				of = c.info.TypeOf(lit)
			}
		}
		return of == nil
	})
	if n := nearest(name, fields(of, c.s.pkg)); n != "" {
		return fmt.Sprintf("did you mean %s?", n)
	}
	return ""
}

// members returns the names of the fields and methods that a value of type t
// has, those of embedded fields included.
func members(t types.Type, from *types.Package) []string {
	if t == nil {
		return nil
	}
	var out []string
	p := t
	if _, ok := t.Underlying().(*types.Pointer); !ok && !types.IsInterface(t) {
		p = types.NewPointer(t)
	}
	set := types.NewMethodSet(p)
	for i := range set.Len() {
		if o := set.At(i).Obj(); o.Exported() || o.Pkg() == from {
			out = append(out, o.Name())
		}
	}
	seen := map[types.Type]bool{}
	var walk func(types.Type)
	walk = func(t types.Type) {
		if seen[t] {
			return
		}
		seen[t] = true
		out = append(out, fields(t, from)...)
		if s := structOf(t); s != nil {
			for f := range s.Fields() {
				if f.Embedded() {
					walk(f.Type())
				}
			}
		}
	}
	walk(t)
	return out
}

// fields returns the names of a struct's own fields.
func fields(t types.Type, from *types.Package) []string {
	var out []string
	if s := structOf(t); s != nil {
		for f := range s.Fields() {
			if f.Exported() || f.Pkg() == from {
				out = append(out, f.Name())
			}
		}
	}
	return out
}

// structOf returns the struct that t is or points to, or nil.
func structOf(t types.Type) *types.Struct {
	if t == nil {
		return nil
	}
	if p, ok := t.Underlying().(*types.Pointer); ok {
		t = p.Elem()
	}
	s, _ := t.Underlying().(*types.Struct)
	return s
}

// inspect walks what the cell declares and does.
func (c *change) inspect(f func(ast.Node) bool) {
	for _, d := range c.cellFile.Decls {
		ast.Inspect(d, f)
	}
}

var singleValue = regexp.MustCompile(`^multiple-value .* in single-value context$`)

// reword gives x := f() with several results the message that it has inside a
// function: for the checker it declares a variable of a package.
func (c *change) reword(e types.Error) string {
	msg := e.Msg
	if !singleValue.MatchString(msg) {
		return msg
	}
	c.inspect(func(n ast.Node) bool {
		g, ok := n.(*ast.GenDecl)
		if !ok || g.Tok != token.VAR || g.TokPos != g.Specs[0].Pos() {
			return !ok
		}
		vs := g.Specs[0].(*ast.ValueSpec)
		if len(vs.Names) != 1 || len(vs.Values) != 1 || vs.Values[0].Pos() != e.Pos {
			return false
		}
		call, ok := ast.Unparen(vs.Values[0]).(*ast.CallExpr)
		if !ok {
			return false
		}
		if sig, ok := c.info.TypeOf(call.Fun).Underlying().(*types.Signature); ok {
			msg = fmt.Sprintf("assignment mismatch: 1 variable but %s returns %d values", types.ExprString(call.Fun), sig.Results().Len())
		}
		return false
	})
	return msg
}

// nearest returns the name that is most like the given one, or none that is
// near enough.
func nearest(name string, all []string) string {
	limit := 1 + len(name)/4
	if len(name) < 3 {
		limit = 1
	}
	best, at := "", limit+1
	sort.Strings(all)
	for _, n := range all {
		if n == name || strings.Contains(n, "·") {
			continue
		}
		if strings.EqualFold(n, name) {
			return n
		}
		// Of names as near, one from which letters were left out.
		if d := distance(name, n, at+1); d < at || d == at && best != "" && isWithin(name, n) && !isWithin(name, best) {
			best, at = n, d
		}
	}
	if at >= len(name) {
		return ""
	}
	return best
}

// distance counts the letters to insert, remove, replace or swap between a
// and b; it gives up at limit.
func distance(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) >= limit || len(y)-len(x) >= limit {
		return limit
	}
	prev2 := make([]int, len(y)+1)
	prev := make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		cur := make([]int, len(y)+1)
		cur[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev = prev, cur
	}
	return prev[len(y)]
}
