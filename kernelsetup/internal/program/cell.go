package program

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// write writes a cell's declarations, and its steps as a function.
func (c *cell) write() error {
	var body strings.Builder
	switch {
	case c.special != nil:
		if c.special.Kind == meaning.Shell {
			fmt.Fprintf(&body, "%s(%q)\n", c.shellHelper(), c.special.Text)
		}
	case c.failure != nil:
		fmt.Fprintf(&body, "%s.Fprintln(%s.Stderr, %q)\n", c.named("fmt", "fmt"), c.named("os", "os"), c.failure.Error())
	default:
		if err := c.writeDeclarations(); err != nil {
			return err
		}
		c.writeSteps(&body)
	}
	if strings.TrimSpace(body.String()) == "" {
		return nil
	}
	name := c.fresh(fmt.Sprintf("cell%d", c.number))
	fmt.Fprintf(&c.declarations, "func %s() {\n%s}\n\n", name, body.String())
	entry := name + "()"
	if c.timed {
		entry = fmt.Sprintf("%s(%q, %s)", c.timedHelper(), fmt.Sprintf("cell %d", c.number), name)
	}
	switch {
	case c.mayFail && c.timed:
		entry = c.tolerateHelper() + "(func() { " + entry + " })"
	case c.mayFail:
		entry = c.tolerateHelper() + "(" + name + ")"
	}
	c.writer.entries = append(c.writer.entries, entry)
	return nil
}

// writeDeclarations writes what the cell declares, but for variables with
// their values.
func (c *cell) writeDeclarations() error {
	for _, v := range c.chains {
		if v.first == c {
			if err := c.writeCaller(v, c.declOf(v.list[0].fn)); err != nil {
				return err
			}
		}
	}
	for _, d := range slices.Concat(c.record.Again, c.record.Declared) {
		switch d := d.(type) {
		case *ast.FuncDecl:
			c.writeDecl(d.Doc, c.text(d))
		case *ast.GenDecl:
			if d.Tok == token.CONST {
				c.writeDecl(d.Doc, c.text(d))
				continue
			}
			for _, spec := range d.Specs { // one: groups were taken apart
				doc := d.Doc
				if t, ok := spec.(*ast.TypeSpec); ok && t.Doc != nil {
					doc = t.Doc
				}
				c.writeDecl(doc, "type "+c.text(spec))
			}
		}
	}
	for _, obj := range c.declared() {
		v, ok := obj.(*types.Var)
		if !ok || c.record.Kept[v] != nil {
			continue
		}
		text, err := c.typeText(v.Type(), ident{v})
		if err != nil {
			return err
		}
		fmt.Fprintf(&c.declarations, "var %s %s\n\n", c.final(v), text)
	}
	return nil
}

// ident is the place of a variable.
type ident struct{ v *types.Var }

func (i ident) Pos() token.Pos { return i.v.Pos() }
func (i ident) End() token.Pos { return i.v.Pos() }

func (c *cell) declOf(fn *types.Func) *ast.FuncDecl {
	for _, d := range slices.Concat(c.record.Again, c.record.Declared) {
		if d, ok := d.(*ast.FuncDecl); ok && c.record.Info.Defs[d.Name] == types.Object(fn) {
			return d
		}
	}
	return nil
}

func (c *cell) writeDecl(doc *ast.CommentGroup, text string) {
	if doc != nil {
		for _, line := range doc.List {
			c.declarations.WriteString(line.Text + "\n")
		}
	}
	c.declarations.WriteString(text + "\n\n")
}

// writeSteps writes what the cell does. Values are shown when it has ended,
// deferred calls and init functions included: where there may be any, the
// steps become a function of their own.
func (c *cell) writeSteps(b *strings.Builder) {
	r := c.record
	for _, s := range c.starts {
		fmt.Fprintf(b, "%s = %d\n", s.of.variable, s.number)
	}
	var inits strings.Builder
	for _, d := range r.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && fn.Name.Name == "init" {
			fmt.Fprintf(&inits, "%s()\n", c.final(r.Info.Defs[fn.Name]))
		}
	}
	if r.Program {
		if obj := c.mainOf(); obj != nil {
			fmt.Fprintf(&inits, "%s()\n", c.final(obj))
		}
	}
	shown := r.Shown(r.Info)
	if r.Body == nil || inits.Len() == 0 && (len(shown) == 0 || !leaves(r.Body)) {
		c.writeBody(b, nil)
		b.WriteString(inits.String())
		return
	}
	var results []string
	for i := range shown {
		results = append(results, c.fresh(fmt.Sprintf("shown%d", i+1)))
	}
	steps := c.fresh(fmt.Sprintf("cell%dSteps", c.number))
	var inner strings.Builder
	c.writeBody(&inner, results)
	if results == nil {
		fmt.Fprintf(&c.declarations, "func %s() {\n%s}\n\n", steps, inner.String())
		fmt.Fprintf(b, "%s()\n%s", steps, inits.String())
		return
	}
	list := strings.Join(results, ", ")
	reached := c.fresh("reached")
	fmt.Fprintf(&c.declarations, "func %s() (%s any, %s bool) {\n%s%s = true\nreturn\n}\n\n", steps, list, reached, inner.String(), reached)
	fmt.Fprintf(b, "%s, %s := %s()\n%sif %s {\n%s\n}\n", list, reached, steps, inits.String(), reached, c.showCall(shown, list))
	for _, name := range append(results, reached) { // they are local to both
		delete(c.names, name)
	}
}

// leaves reports whether statements may end before the last, or do something
// after it: by return, by defer, or by a panic that a deferred call recovers.
func leaves(body *ast.BlockStmt) bool {
	found := false
	ast.Inspect(body, func(n ast.Node) bool {
		switch n.(type) {
		case *ast.FuncLit:
			return false
		case *ast.ReturnStmt, *ast.DeferStmt:
			found = true
		}
		return true
	})
	return found
}

// writeBody writes the steps. results name what the values shown are assigned
// to; nil: they are shown there and then.
func (c *cell) writeBody(b *strings.Builder, results []string) {
	r := c.record
	if r.Ordered {
		c.writeOrdered(b)
	} else {
		for i, st := range r.Steps {
			b.WriteString(r.Lead(r.Places.Offset(st.Pos)))
			switch {
			case st.Stmt == nil:
				c.writeVars(b, st.Vars)
			case i == r.ShowAt:
				c.writeLast(b, results)
			default:
				c.writeStatement(b, st.Stmt)
			}
		}
	}
}

// mainOf is the main function that a complete program in the cell runs: its
// own, or an earlier cell's.
func (c *cell) mainOf() types.Object {
	for i := c.number - 1; i >= 0; i-- {
		other := c.cells[i]
		if other.record == nil {
			continue
		}
		for _, d := range slices.Concat(other.record.Again, other.record.Declared) {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && fn.Name.Name == "main" {
				return other.record.Info.Defs[fn.Name]
			}
		}
	}
	return nil
}

// writeOrdered initialises the variables of a cell of declarations.
func (c *cell) writeOrdered(b *strings.Builder) {
	for _, st := range c.record.Steps {
		if len(st.Vars.Values) == 0 {
			c.writeVars(b, st.Vars)
		}
	}
	for _, in := range c.record.Order {
		if len(in.Lhs) == 1 && in.Lhs[0].Name() == "_" {
			if spec := c.specOf(in); spec != nil && spec.Type != nil && len(spec.Names) == 1 {
				fmt.Fprintf(b, "var %s\n", c.text(spec))
				continue
			}
		}
		var names []string
		for _, v := range in.Lhs {
			names = append(names, c.finalOrBlank(v))
		}
		fmt.Fprintf(b, "%s = %s\n", strings.Join(names, ", "), c.text(in.Rhs))
	}
}

// specOf returns the declaration that an initialisation comes from.
func (c *cell) specOf(in *types.Initializer) *ast.ValueSpec {
	for _, st := range c.record.Steps {
		if slices.Contains(st.Vars.Values, in.Rhs) {
			return st.Vars
		}
	}
	return nil
}

func (c *cell) finalOrBlank(v *types.Var) string {
	if v.Name() == "_" {
		return "_"
	}
	return c.final(v)
}

// writeVars writes the declaration of variables as assignments.
func (c *cell) writeVars(b *strings.Builder, spec *ast.ValueSpec) {
	named := slices.ContainsFunc(spec.Names, func(n *ast.Ident) bool { return n.Name != "_" })
	switch {
	case len(spec.Values) == 0:
		for _, n := range spec.Names {
			if n.Name != "_" {
				fmt.Fprintf(b, "%s = *new(%s)\n", c.called(n, false), c.text(spec.Type))
			}
		}
	case !named && spec.Type != nil:
		fmt.Fprintf(b, "var %s\n", c.text(spec))
	default:
		var names []string
		for _, n := range spec.Names {
			names = append(names, c.called(n, false))
		}
		first, last := spec.Values[0], spec.Values[len(spec.Values)-1]
		fmt.Fprintf(b, "%s = %s\n", strings.Join(names, ", "), c.span(first.Pos(), last.End(), spec))
	}
}

// writeStatement writes a statement. A := that only assigns becomes =.
func (c *cell) writeStatement(b *strings.Builder, stmt ast.Stmt) {
	var more []edit
	if as, ok := stmt.(*ast.AssignStmt); ok && as.Tok == token.ASSIGN {
		at := c.record.Places.Offset(as.TokPos)
		if strings.HasPrefix(string(c.record.Text[at:]), ":=") {
			more = append(more, edit{at, at + len(":="), "="})
		}
	}
	b.WriteString(c.text(stmt, more...))
	b.WriteByte('\n')
}

// writeLast writes the last expressions, which show their values or not.
func (c *cell) writeLast(b *strings.Builder, results []string) {
	r := c.record
	var list []string
	for _, e := range r.Show {
		list = append(list, c.text(e))
	}
	text := strings.Join(list, ", ")
	shown := r.Shown(r.Info)
	_, call := ast.Unparen(r.Show[0]).(*ast.CallExpr)
	switch {
	case len(shown) > 0 && results != nil:
		fmt.Fprintf(b, "%s = %s\n", strings.Join(results, ", "), text)
	case len(shown) > 0:
		fmt.Fprintf(b, "%s\n", c.showCall(shown, text))
	case len(list) == 1 && call && r.Info.Types[r.Show[0]].IsValue() && isConversion(r.Info, r.Show[0]):
		fmt.Fprintf(b, "_ = %s\n", text)
	case len(list) == 1 && (call || isReceive(r.Show[0])):
		b.WriteString(text + "\n")
	default:
		fmt.Fprintf(b, "%s = %s\n", strings.TrimSuffix(strings.Repeat("_, ", len(list)), ", "), text)
	}
}

func isReceive(e ast.Expr) bool {
	u, ok := ast.Unparen(e).(*ast.UnaryExpr)
	return ok && u.Op == token.ARROW
}

// isConversion reports whether a call is a conversion, or of a built-in
// function whose value must be used.
func isConversion(info *types.Info, e ast.Expr) bool {
	fun := info.Types[ast.Unparen(e).(*ast.CallExpr).Fun]
	return fun.IsType() || fun.IsBuiltin()
}

// showCall writes the call that shows values, or ends the program where the
// last of them is an error.
func (c *cell) showCall(shown []types.Type, text string) string {
	last := shown[len(shown)-1]
	switch {
	case !meaning.Fails(last):
		return c.named(notebookPath, "notebook") + ".Show(" + text + ")"
	case c.mayFail:
		return c.showOrPanicHelper() + "(" + text + ")"
	}
	return c.showOrFailHelper() + "(" + text + ")"
}
