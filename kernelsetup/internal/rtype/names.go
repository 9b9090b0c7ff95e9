package rtype

import (
	"go/types"
	"strconv"
	"strings"
)

// typeName returns a named type's name as the compiler writes it: the package
// by its name, type arguments in brackets.
func typeName(t *types.Named) string {
	name := t.Obj().Name() + typeArgs(t)
	if p := t.Obj().Pkg(); p != nil {
		return p.Name() + "." + name
	}
	return name
}

// typeArgs returns "[int,main.T]", or nothing for a type without arguments.
func typeArgs(t *types.Named) string {
	if t.TypeArgs().Len() == 0 {
		return ""
	}
	var b strings.Builder
	for i := range t.TypeArgs().Len() {
		b.WriteString([]string{",", "["}[btoi(i == 0)])
		writeLinkName(&b, t.TypeArgs().At(i))
	}
	b.WriteByte(']')
	return b.String()
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// writeLinkName writes a type as it stands among type arguments: packages by
// their path.
func writeLinkName(b *strings.Builder, t types.Type) {
	switch t := types.Unalias(t).(type) {
	case *types.Basic:
		if t.Kind() == types.UnsafePointer {
			b.WriteString("unsafe.Pointer")
			return
		}
		b.WriteString(types.Typ[t.Kind()].Name()) // byte is uint8
	case *types.Named:
		if p := t.Obj().Pkg(); p != nil {
			b.WriteString(p.Path() + ".")
		}
		b.WriteString(t.Obj().Name() + typeArgs(t))
	case *types.Pointer:
		b.WriteByte('*')
		writeLinkName(b, t.Elem())
	case *types.Slice:
		b.WriteString("[]")
		writeLinkName(b, t.Elem())
	case *types.Array:
		b.WriteString("[" + strconv.FormatInt(t.Len(), 10) + "]")
		writeLinkName(b, t.Elem())
	case *types.Map:
		b.WriteString("map[")
		writeLinkName(b, t.Key())
		b.WriteByte(']')
		writeLinkName(b, t.Elem())
	case *types.Chan:
		b.WriteString([...]string{types.SendRecv: "chan ", types.SendOnly: "chan<- ", types.RecvOnly: "<-chan "}[t.Dir()])
		writeLinkName(b, t.Elem())
	case *types.Signature:
		b.WriteString("func")
		writeLinkSignature(b, t)
	case *types.Struct:
		b.WriteString("struct {")
		for i := range t.NumFields() {
			b.WriteString([]string{"; ", " "}[btoi(i == 0)])
			if f := t.Field(i); !f.Embedded() {
				if !f.Exported() {
					b.WriteString(f.Pkg().Path() + ".")
				}
				b.WriteString(f.Name() + " ")
			}
			writeLinkName(b, t.Field(i).Type())
			if tag := t.Tag(i); tag != "" {
				b.WriteString(" " + strconv.Quote(tag))
			}
		}
		if t.NumFields() > 0 {
			b.WriteByte(' ')
		}
		b.WriteByte('}')
	case *types.Interface:
		b.WriteString("interface {")
		for i, m := range interfaceMethods(t) {
			b.WriteString([]string{"; ", " "}[btoi(i == 0)])
			if !m.Exported() {
				b.WriteString(m.Pkg().Path() + ".")
			}
			b.WriteString(m.Name())
			writeLinkSignature(b, m.Signature())
		}
		if t.NumMethods() > 0 {
			b.WriteByte(' ')
		}
		b.WriteByte('}')
	default:
		b.WriteString(t.String())
	}
}

func writeLinkSignature(b *strings.Builder, s *types.Signature) {
	b.WriteByte('(')
	for i := range s.Params().Len() {
		if i > 0 {
			b.WriteString(", ")
		}
		p := s.Params().At(i).Type()
		if s.Variadic() && i == s.Params().Len()-1 {
			b.WriteString("...")
			p = p.(*types.Slice).Elem()
		}
		writeLinkName(b, p)
	}
	b.WriteByte(')')
	n := s.Results().Len()
	if n > 0 {
		b.WriteByte(' ')
	}
	if n > 1 {
		b.WriteByte('(')
	}
	for i := range n {
		if i > 0 {
			b.WriteString(", ")
		}
		writeLinkName(b, s.Results().At(i).Type())
	}
	if n > 1 {
		b.WriteByte(')')
	}
}
