package program

import (
	"fmt"
	"go/ast"
	"go/types"
	"strconv"
	"strings"
)

// typeText writes a type in the program's names. It fails where the program
// cannot name it; at is where the type comes from.
func (c *cell) typeText(t types.Type, at ast.Node) (string, error) {
	w := &typeWriter{cell: c, at: at}
	w.write(t)
	return w.String(), w.err
}

// tupleText writes the results of a function.
func (c *cell) tupleText(t *types.Tuple, at ast.Node) (string, error) {
	w := &typeWriter{cell: c, at: at}
	w.results(t)
	return strings.TrimSpace(w.String()), w.err
}

type typeWriter struct {
	strings.Builder
	*cell
	at  ast.Node
	err error
}

func (w *typeWriter) write(t types.Type) {
	switch t := t.(type) {
	case *types.Basic:
		if t.Kind() == types.UnsafePointer {
			w.WriteString(w.importName(types.Unsafe, "unsafe") + ".")
		}
		w.WriteString(t.Name())
	case *types.Alias:
		w.named(t.Obj(), t.TypeArgs(), types.Unalias(t))
	case *types.Named:
		w.named(t.Obj(), t.TypeArgs(), nil)
	case *types.TypeParam:
		w.WriteString(t.Obj().Name())
	case *types.Pointer:
		w.WriteString("*")
		w.write(t.Elem())
	case *types.Slice:
		w.WriteString("[]")
		w.write(t.Elem())
	case *types.Array:
		fmt.Fprintf(w, "[%d]", t.Len())
		w.write(t.Elem())
	case *types.Map:
		w.WriteString("map[")
		w.write(t.Key())
		w.WriteString("]")
		w.write(t.Elem())
	case *types.Chan:
		w.WriteString([]string{"chan ", "chan<- ", "<-chan "}[t.Dir()])
		w.WriteString("(")
		w.write(t.Elem())
		w.WriteString(")")
	case *types.Signature:
		w.WriteString("func")
		w.signature(t)
	case *types.Struct:
		w.structure(t)
	case *types.Interface:
		w.interf(t)
	case *types.Union:
		for i := range t.Len() {
			if i > 0 {
				w.WriteString(" | ")
			}
			if t.Term(i).Tilde() {
				w.WriteString("~")
			}
			w.write(t.Term(i).Type())
		}
	default:
		w.fail(t.String())
	}
}

func (w *typeWriter) fail(name string) {
	if w.err == nil {
		w.err = w.failAt(w.at, UnnamedType, "a variable has type %s, which only its own package can name: a program cannot declare the variable", name)
	}
}

// named writes the name of a type; behind is what an alias stands for.
func (w *typeWriter) named(obj *types.TypeName, args *types.TypeList, behind types.Type) {
	p := obj.Pkg()
	switch {
	case p == nil: // predeclared
		w.WriteString(obj.Name())
	case p == w.record.Pkg && obj.Parent() == p.Scope():
		w.WriteString(w.final(obj))
	case p != w.record.Pkg && obj.Exported() && (obj.Parent() == nil || obj.Parent() == p.Scope()) && !internal(p.Path()):
		w.WriteString(w.importName(p, p.Name()) + "." + obj.Name())
	case behind != nil:
		w.write(behind)
		return
	default:
		w.fail(strings.TrimPrefix(types.TypeString(obj.Type(), func(p *types.Package) string { return p.Name() }), "main."))
		return
	}
	if args.Len() > 0 {
		w.WriteString("[")
		for i := range args.Len() {
			if i > 0 {
				w.WriteString(", ")
			}
			w.write(args.At(i))
		}
		w.WriteString("]")
	}
}

// internal reports whether a package can't be imported by anybody.
func internal(path string) bool {
	for part := range strings.SplitSeq(path, "/") {
		if part == "internal" || part == "vendor" {
			return true
		}
	}
	return false
}

func (w *typeWriter) signature(t *types.Signature) {
	w.WriteString("(")
	for i := range t.Params().Len() {
		if i > 0 {
			w.WriteString(", ")
		}
		p := t.Params().At(i).Type()
		if s, ok := p.(*types.Slice); ok && t.Variadic() && i == t.Params().Len()-1 {
			w.WriteString("...")
			p = s.Elem()
		}
		w.write(p)
	}
	w.WriteString(")")
	w.results(t.Results())
}

func (w *typeWriter) results(t *types.Tuple) {
	if t.Len() == 0 {
		return
	}
	w.WriteString(" (")
	for i := range t.Len() {
		if i > 0 {
			w.WriteString(", ")
		}
		w.write(t.At(i).Type())
	}
	w.WriteString(")")
}

func (w *typeWriter) structure(t *types.Struct) {
	w.WriteString("struct {")
	for i := range t.NumFields() {
		f := t.Field(i)
		if !f.Exported() && f.Pkg() != w.record.Pkg {
			w.fail(t.String())
		}
		w.WriteString("\n")
		if !f.Embedded() {
			w.WriteString(f.Name() + " ")
		}
		w.write(f.Type())
		if tag := t.Tag(i); tag != "" {
			w.WriteString(" " + strconv.Quote(tag))
		}
	}
	if t.NumFields() > 0 {
		w.WriteString("\n")
	}
	w.WriteString("}")
}

func (w *typeWriter) interf(t *types.Interface) {
	if t.NumExplicitMethods() == 0 && t.NumEmbeddeds() == 0 {
		w.WriteString("any")
		return
	}
	w.WriteString("interface {")
	for m := range t.ExplicitMethods() {
		if !m.Exported() && m.Pkg() != w.record.Pkg {
			w.fail(t.String())
		}
		w.WriteString("\n" + m.Name())
		w.signature(m.Signature())
	}
	for e := range t.EmbeddedTypes() {
		w.WriteString("\n")
		w.write(e)
	}
	w.WriteString("\n}")
}
