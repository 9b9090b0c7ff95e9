package interpreter

import (
	"go/ast"
	"go/token"
	"go/types"
	"strings"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// unit is one declaration that the notebook keeps: a function, a method, a
// type, a group of constants or a variable.
type unit struct {
	tok  token.Token
	keys []string // "Name", or "Type.Method"
	decl ast.Decl
	text string
	doc  string
	src  *meaning.Source
	// along is the latest cell that declared it or, for a method, its type
	// after a cell that declared both.
	along *meaning.Source

	objs    []types.Object
	deps    map[string]bool   // keys it refers to
	imports map[string]string // import names it uses, with their paths
	broken  string            // why it no longer compiles
	lost    []*types.Func     // what it was when it last compiled
}

func (u *unit) isFunc() bool { return u.tok == token.FUNC }

// unitsOf takes a cell's declarations apart. Imports are left out.
func (p placer) unitsOf(src *meaning.Source, decls []ast.Decl) []*unit {
	var out []*unit
	for _, d := range decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			u := &unit{tok: token.FUNC, decl: d, src: src, doc: d.Doc.Text(), text: p.TextOf(d)}
			if key := funcKey(d); key != "" {
				u.keys = []string{key}
			}
			out = append(out, u)
		case *ast.GenDecl:
			out = append(out, p.genUnits(src, d)...)
		}
	}
	return out
}

func (p placer) genUnits(src *meaning.Source, d *ast.GenDecl) []*unit {
	switch d.Tok {
	case token.CONST:
		u := &unit{tok: d.Tok, decl: d, src: src, doc: d.Doc.Text(), text: p.TextOf(d)}
		for _, s := range d.Specs {
			u.keys = append(u.keys, names(s.(*ast.ValueSpec).Names)...)
		}
		return []*unit{u}
	case token.TYPE, token.VAR:
		var out []*unit
		for _, s := range d.Specs {
			one := &ast.GenDecl{TokPos: d.TokPos, Tok: d.Tok, Specs: []ast.Spec{s}, Doc: d.Doc}
			u := &unit{tok: d.Tok, decl: one, src: src, doc: d.Doc.Text(), text: p.TextOf(s)}
			switch s := s.(type) {
			case *ast.TypeSpec:
				u.keys = []string{s.Name.Name}
				if s.Doc != nil {
					u.doc = s.Doc.Text()
				}
			case *ast.ValueSpec:
				u.keys = names(s.Names)
				if s.Doc != nil {
					u.doc = s.Doc.Text()
				}
			}
			out = append(out, u)
		}
		return out
	}
	return nil
}

func names(ids []*ast.Ident) []string {
	var out []string
	for _, id := range ids {
		if id.Name != "_" {
			out = append(out, id.Name)
		}
	}
	return out
}

// funcKey returns a function's key; none for init and blank ones.
func funcKey(d *ast.FuncDecl) string {
	if d.Name.Name == "_" {
		return ""
	}
	if d.Recv == nil || len(d.Recv.List) == 0 {
		if d.Name.Name == "init" {
			return ""
		}
		return d.Name.Name
	}
	return receiverName(d.Recv.List[0].Type) + "." + d.Name.Name
}

func receiverName(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.StarExpr:
		return receiverName(e.X)
	case *ast.ParenExpr:
		return receiverName(e.X)
	case *ast.IndexExpr:
		return receiverName(e.X)
	case *ast.IndexListExpr:
		return receiverName(e.X)
	case *ast.Ident:
		return e.Name
	}
	return "?"
}

// signatureText is what callers depend on: the text up to the body.
func (p placer) signatureText(u *unit) string {
	d, ok := u.decl.(*ast.FuncDecl)
	if !ok || d.Body == nil {
		return u.text
	}
	head := *d
	head.Body, head.Doc = nil, nil
	return strings.Join(strings.Fields(p.TextOf(&head)), " ")
}

// noteUses records what the unit refers to.
func (u *unit) noteUses(pkg *types.Package, info *types.Info) {
	u.deps, u.imports = map[string]bool{}, map[string]string{}
	ast.Inspect(u.decl, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Ident:
			switch obj := info.Uses[n].(type) {
			case nil:
			case *types.PkgName:
				u.imports[obj.Name()] = obj.Imported().Path()
			case *types.Func:
				if k := objectKey(obj, pkg); k != "" {
					u.deps[k] = true
				}
			default:
				if obj.Parent() == pkg.Scope() {
					u.deps[obj.Name()] = true
				}
			}
		}
		return true
	})
	if u.tok == token.VAR { // a variable keeps its value: only its type counts
		u.deps = map[string]bool{}
		for _, o := range u.objs {
			namedIn(o.Type(), pkg, u.deps, map[types.Type]bool{})
		}
	}
}

// objectKey returns the key of a function or method of the notebook.
func objectKey(f *types.Func, pkg *types.Package) string {
	if f.Pkg() != pkg {
		return ""
	}
	recv := f.Signature().Recv()
	if recv == nil {
		if f.Parent() == pkg.Scope() {
			return f.Name()
		}
		return ""
	}
	if n := namedOf(recv.Type()); n != nil {
		return n.Obj().Name() + "." + f.Name()
	}
	return ""
}

func namedOf(t types.Type) *types.Named {
	if p, ok := types.Unalias(t).(*types.Pointer); ok {
		t = p.Elem()
	}
	n, _ := types.Unalias(t).(*types.Named)
	if n != nil {
		n = n.Origin()
	}
	return n
}

// namedIn collects the notebook's types that t is made of.
func namedIn(t types.Type, pkg *types.Package, out map[string]bool, seen map[types.Type]bool) {
	eachPart(t, seen, func(t types.Type) {
		switch t := t.(type) {
		case *types.Alias:
			if t.Obj().Pkg() == pkg {
				out[t.Obj().Name()] = true
			}
		case *types.Named:
			if t.Obj().Pkg() == pkg {
				out[t.Obj().Name()] = true
				namedIn(t.Underlying(), pkg, out, seen)
			}
		}
	})
}

// eachNamed calls f for the declared types that t is made of.
func eachNamed(t types.Type, seen map[types.Type]bool, f func(*types.Named)) {
	eachPart(t, seen, func(t types.Type) {
		if n, ok := t.(*types.Named); ok {
			f(n)
			if n.Obj().Pkg() != nil && n.Obj().Pkg().Path() == "main" {
				eachNamed(n.Underlying(), seen, f)
			}
		}
	})
}

// eachPart calls f for t and all types it is written with. What a declared
// type is made of is not looked at.
func eachPart(t types.Type, seen map[types.Type]bool, f func(types.Type)) {
	if t == nil || seen[t] {
		return
	}
	seen[t] = true
	f(t)
	part := func(t types.Type) { eachPart(t, seen, f) }
	switch t := t.(type) {
	case *types.Alias:
		part(types.Unalias(t))
	case *types.Named:
		for a := range t.TypeArgs().Types() {
			part(a)
		}
	case *types.Pointer:
		part(t.Elem())
	case *types.Slice:
		part(t.Elem())
	case *types.Array:
		part(t.Elem())
	case *types.Chan:
		part(t.Elem())
	case *types.Map:
		part(t.Key())
		part(t.Elem())
	case *types.Struct:
		for v := range t.Fields() {
			part(v.Type())
		}
	case *types.Signature:
		part(t.Params())
		part(t.Results())
	case *types.Tuple:
		for v := range t.Variables() {
			part(v.Type())
		}
	case *types.Interface:
		for m := range t.Methods() {
			part(m.Type())
		}
	}
}

// live is what a unit is in the machine.
func (s *session) function(f *types.Func) *ssa.Function {
	fn, _ := s.objects[f].(*ssa.Function)
	return fn
}
