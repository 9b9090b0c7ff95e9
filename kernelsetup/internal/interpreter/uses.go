package interpreter

import (
	"go/ast"
	"go/types"
	"runtime"
	"strings"
	"sync"
	"weak"

	"golang.org/x/tools/go/ssa"
)

// An identity is one thing that a name of the notebook stands for, while the
// name is declared again and again: go/types has another object each time.
type identity struct{ label string }

// identities knows those of the live objects.
type identities map[types.Object]*identity

func (ids identities) of(o types.Object) *identity {
	id := ids[o]
	if id == nil {
		id = &identity{label(o)}
		ids[o] = id
	}
	return id
}

// follow makes now the same thing as old, or another one where nothing follows.
func (ids identities) follow(old, now types.Object, same bool) {
	if same {
		ids[now] = ids.of(old)
	}
	delete(ids, old)
}

// literal is what a function literal refers to.
type literal struct {
	uses    map[*identity]bool
	imports map[string]bool
	in      *identity // the declared function it stands in, if any
	cell    int       // counts cells
}

// literals knows the function literals of the notebook, by the function that
// they stand in, for as long as there are any of them: ssa forgets what they
// refer to.
type literals struct {
	mu   sync.Mutex
	list map[weak.Pointer[ssa.Function]]map[*ast.FuncLit]*literal
}

// noteLiterals enters the function literals of a file.
func (s *session) noteLiterals(f *ast.File, info *types.Info) {
	for _, d := range f.Decls {
		d, ok := d.(*ast.FuncDecl)
		if !ok {
			continue
		}
		o, _ := info.Defs[d.Name].(*types.Func)
		fn, _ := s.objects[o].(*ssa.Function)
		if fn == nil {
			continue
		}
		in := map[*ast.FuncLit]*literal{}
		ast.Inspect(d, func(n ast.Node) bool {
			if lit, ok := n.(*ast.FuncLit); ok {
				l := usesOf(lit, info, s.pkg, s.ids)
				if l.cell = s.cells; !strings.Contains(o.Name(), "·") {
					l.in = s.ids.of(o)
				}
				in[lit] = l
			}
			return true
		})
		if len(in) > 0 {
			s.literals.add(fn, in)
		}
	}
}

func (l *literals) add(fn *ssa.Function, in map[*ast.FuncLit]*literal) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.list == nil {
		l.list = map[weak.Pointer[ssa.Function]]map[*ast.FuncLit]*literal{}
	}
	w := weak.Make(fn)
	l.list[w] = in
	owner := weak.Make(l) // which must not live for its functions
	runtime.AddCleanup(fn, func(w weak.Pointer[ssa.Function]) {
		if l := owner.Value(); l != nil {
			l.drop(w)
		}
	}, w)
}

func usesOf(lit *ast.FuncLit, info *types.Info, pkg *types.Package, ids identities) *literal {
	out := &literal{map[*identity]bool{}, map[string]bool{}, nil, 0}
	ast.Inspect(lit, func(n ast.Node) bool {
		id, ok := n.(*ast.Ident)
		if !ok {
			return true
		}
		if p, ok := info.Uses[id].(*types.PkgName); ok {
			out.imports[p.Name()] = true
		} else if o := ofNotebook(info.Uses[id], pkg); o != nil {
			out.uses[ids.of(o)] = true
		}
		return true
	})
	return out
}

// ofNotebook returns an object if cells can declare it anew: a name of the
// notebook or a method of one of its types; else nil.
func ofNotebook(o types.Object, pkg *types.Package) types.Object {
	switch o := o.(type) {
	case nil:
	case *types.Func:
		if o.Pkg() == pkg {
			return o.Origin()
		}
	default:
		if o.Parent() == pkg.Scope() {
			return o
		}
	}
	return nil
}

// of returns what is known of a function literal; nil for other functions.
func (l *literals) of(fn *ssa.Function) *literal {
	lit, ok := fn.Syntax().(*ast.FuncLit)
	if !ok {
		return nil
	}
	for fn.Parent() != nil {
		fn = fn.Parent()
	}
	if o := fn.Origin(); o != nil {
		fn = o
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.list[weak.Make(fn)][lit]
}

// mention reports whether a literal that may be alive refers to something.
func (l *literals) mention(id *identity) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, in := range l.list {
		for _, one := range in {
			if one.uses[id] {
				return true
			}
		}
	}
	return false
}

func (l *literals) drop(w weak.Pointer[ssa.Function]) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.list, w)
}
