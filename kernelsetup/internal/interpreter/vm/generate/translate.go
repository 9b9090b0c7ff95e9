package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"strings"

	"golang.org/x/tools/go/ast/astutil"
)

// slotReads are the Go expressions of slots, by the type they are read as.
var slotReads = map[string]string{
	"uint": "*su(s, %s)", "int": "*si(s, %s)", "float": "*sf(s, %s)", "float32": "*sf32(s, %s)", "ptr": "*pp(p, %s)",
}

// slotWrites are those that cannot be assigned to as they are read: a float32
// leaves no rubbish in the other half of its slot, a bool is a number.
var slotWrites = map[string]string{"float32": "uint64(math.Float32bits(%s))", "bool": "b2u(%s)"}

var words = map[string]string{"address": "q", "ws": "unsafe.Add(s, code.sizeS)", "wp": "unsafe.Add(p, code.sizeP)"}

// translate turns a line of the table into Go statements, or an expression.
func translate(line string) (string, error) {
	if line == "" {
		return "", nil
	}
	if x, err := parser.ParseExpr(line); err == nil {
		return show(rewrite(x))
	}
	file, err := parser.ParseFile(token.NewFileSet(), "", "package p\nfunc _() { "+line+" }", 0)
	if err != nil {
		return "", err
	}
	var out []string
	for _, st := range file.Decls[0].(*ast.FuncDecl).Body.List {
		text, err := statement(st)
		if err != nil {
			return "", err
		}
		out = append(out, text)
	}
	return strings.Join(out, "\n"), nil
}

func statement(st ast.Stmt) (string, error) {
	switch st := st.(type) {
	case *ast.IfStmt:
		return failure(st)
	case *ast.AssignStmt:
		if target, ok := st.Lhs[0].(*ast.IndexExpr); ok && len(st.Lhs) == 1 {
			return assignment(target, st.Rhs[0])
		}
	}
	return show(rewrite(st))
}

// failure writes "if … { fail…() }".
func failure(st *ast.IfStmt) (string, error) {
	cond, err := show(rewrite(st.Cond))
	if err != nil {
		return "", err
	}
	call, ok := st.Body.List[0].(*ast.ExprStmt)
	if !ok || len(st.Body.List) != 1 {
		return "", fmt.Errorf("an if has to hold one call")
	}
	fail, err := show(rewrite(call.X))
	return "if " + cond + " {\nt.pc = pc\n" + fail + "\nreturn\n}", err
}

func assignment(target *ast.IndexExpr, value ast.Expr) (string, error) {
	kind, _ := target.X.(*ast.Ident)
	if kind == nil {
		return "", fmt.Errorf("assignment to something that has no name")
	}
	right, err := show(rewrite(value))
	if err != nil {
		return "", err
	}
	if wrap, ok := slotWrites[kind.Name]; ok {
		kind.Name, right = "uint", fmt.Sprintf(wrap, right)
	}
	left, err := show(rewrite(target))
	if err != nil {
		return "", err
	}
	return left + " = " + right, nil
}

func show(n ast.Node) (string, error) {
	var b bytes.Buffer
	err := printer.Fprint(&b, token.NewFileSet(), n)
	return b.String(), err
}

// rewrite replaces the table's words by the machine's.
func rewrite(n ast.Node) ast.Node {
	return astutil.Apply(n, func(c *astutil.Cursor) bool {
		switch x := c.Node().(type) {
		case *ast.IndexExpr:
			if r := indexed(x.X, x.Index); r != nil {
				c.Replace(r)
				return false
			}
		case *ast.UnaryExpr: // a pointer to a slot
			if slot, ok := x.X.(*ast.IndexExpr); ok && x.Op == token.AND {
				if r, ok := indexed(slot.X, slot.Index).(*ast.Ident); ok {
					c.Replace(text("%s", strings.TrimPrefix(r.Name, "*")))
					return false
				}
			}
		case *ast.CallExpr: // a conversion of an operand
			if to, ok := x.Fun.(*ast.Ident); ok && len(x.Args) == 1 {
				if o, ok := x.Args[0].(*ast.Ident); ok && isOperand(o) {
					c.Replace(text("%s(in.%s)", to.Name, o.Name))
					return false
				}
			}
		case *ast.SelectorExpr:
			_, isName := x.X.(*ast.Ident)
			return !isName
		case *ast.Ident:
			if w, ok := words[x.Name]; ok {
				c.Replace(text("%s", w))
			} else if isOperand(x) && x.Name != "x" {
				c.Replace(text("int64(in.%s)", x.Name))
			}
			return false
		}
		return true
	}, nil)
}

func isOperand(x *ast.Ident) bool { return len(x.Name) == 1 && strings.Contains("abcdx", x.Name) }

// indexed rewrites a slot, a place in memory or an entry of a table.
func indexed(of, index ast.Expr) ast.Expr {
	name, ok := of.(*ast.Ident)
	if !ok {
		return nil
	}
	at, _ := show(index)
	switch name.Name {
	case "mem":
		if typ, offset, ok := strings.Cut(at, "+"); ok {
			return text("*(*%s)(unsafe.Add(q, %s))", strings.TrimSpace(typ), strings.TrimSpace(offset))
		}
		return text("*(*%s)(q)", at)
	case "ptrs", "sites", "exts":
		return text("code.%s[in.%s]", name.Name, at)
	}
	read, ok := slotReads[name.Name]
	if !ok {
		return nil
	}
	if rest, ok := strings.CutPrefix(strings.ReplaceAll(at, " ", ""), "8*x"); ok {
		return text(read, "int32(in.x)*8"+rest)
	}
	return text(read, "in."+at)
}

// text is Go source that is not looked at any more.
func text(format string, args ...any) ast.Expr {
	return &ast.Ident{Name: fmt.Sprintf(format, args...)}
}
