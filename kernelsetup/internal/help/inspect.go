package help

import (
	"context"
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"html"
	"reflect"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// An explanation is what an inspection shows, from the top.
type explanation struct {
	// signature is the declaration; value a variable's present value.
	signature, value string
	text             string
	// more is shown when the front end asks for detail.
	more string
}

// Inspect explains what stands at the cursor, or the function whose
// parentheses the cursor is in. Detail 1 adds the source of what a cell
// declared and the methods of types.
func (a *Assistant) Inspect(source string, cursor, detail int) (notebook.Bundle, bool) {
	tokens := meaning.Tokens([]byte(source), true)
	if e := a.explainName(tokens, cursor); e != nil {
		return e.bundle(detail), true
	}
	at, ok := identAt(tokens, cursor)
	if !ok {
		return nil, false
	}
	if at.Tok == token.STRING {
		path := strings.Trim(at.Text, "\"`")
		if e := a.explainPackage(path); e != nil {
			return e.bundle(detail), true
		}
		return nil, false
	}
	if at.Tok.IsKeyword() {
		e := explanation{signature: at.Text, text: keywords[at.Text]}
		return e.bundle(detail), true
	}
	e := a.explain(source, at)
	if e == nil {
		return nil, false
	}
	return e.bundle(detail), true
}

// identAt finds the identifier at the cursor, else the one before the
// innermost open parenthesis; inside an import, its path.
func identAt(tokens []meaning.Token, cursor int) (meaning.Token, bool) {
	before := 0
	for i, t := range tokens {
		if t.Start > cursor {
			break
		}
		before = i + 1
		if cursor > t.End {
			continue
		}
		if t.Tok == token.IDENT || t.Tok.IsKeyword() && cursor > t.Start {
			return t, true
		}
		if t.Tok == token.STRING && inImport(tokens[:i]) {
			return t, true
		}
	}
	for before > 0 && tokens[before-1].Start >= cursor {
		before--
	}
	open := brackets(tokens[:before])
	for i := len(open) - 1; i >= 0; i-- {
		if open[i].Tok != token.LPAREN {
			continue
		}
		for j, t := range tokens {
			if t.Start == open[i].Start && j > 0 && tokens[j-1].Tok == token.IDENT {
				return tokens[j-1], true
			}
		}
	}
	return meaning.Token{}, false
}

// explain finds what an identifier stands for.
func (a *Assistant) explain(source string, at meaning.Token) *explanation {
	text := source
	if !meaning.Parses(source) {
		text = source[:at.End] + closing(meaning.Tokens([]byte(source[:at.End]), true))
	}
	u := &understood{Checked: a.notebook.Check(text)}
	for _, d := range u.Decls {
		u.look(d, at.Start)
	}
	for _, s := range u.Stmts {
		u.look(s, at.Start)
	}
	if id := u.ident(); id != nil && u.Info != nil {
		obj := u.Info.Uses[id]
		if obj == nil {
			obj = u.Info.Defs[id]
		}
		if sel, ok := u.parent(1).(*ast.SelectorExpr); ok && obj == nil && sel.Sel == id {
			obj = a.member(u, sel)
		}
		if obj != nil {
			return a.explainObject(u, obj)
		}
	}
	// The cell may be too unfinished to be checked: go by the name.
	if s, ok := a.notebook.Symbol(at.Text); ok {
		return a.explainSymbol(s)
	}
	if pkg := a.notebook.Imports()[at.Text]; pkg != nil {
		return a.explainPackage(pkg.Path())
	}
	if obj := types.Universe.Lookup(at.Text); obj != nil {
		return a.explainObject(u, obj)
	}
	if path := a.pathNamed(at.Text); path != "" {
		return a.explainPackage(path)
	}
	return nil
}

// member finds a selected name that the checker did not.
func (a *Assistant) member(u *understood, sel *ast.SelectorExpr) types.Object {
	if id, ok := sel.X.(*ast.Ident); ok {
		if pkg := a.packageNamed(u, id); pkg != nil {
			return pkg.Scope().Lookup(sel.Sel.Name)
		}
	}
	if t := u.Info.TypeOf(sel.X); t != nil {
		obj, _, _ := types.LookupFieldOrMethod(t, true, u.Pkg, sel.Sel.Name)
		return obj
	}
	return nil
}

func (a *Assistant) explainObject(u *understood, obj types.Object) *explanation {
	switch o := obj.(type) {
	case *types.PkgName:
		return a.explainPackage(o.Imported().Path())
	case *types.Builtin:
		if e, ok := builtins[o.Name()]; ok {
			return &explanation{signature: e[0], text: e[1]}
		}
		return &explanation{signature: o.String()}
	}
	if obj.Pkg() == nil {
		return &explanation{signature: types.ObjectString(obj, nil), text: predeclared[obj.Name()]}
	}
	if obj.Type() == types.Typ[types.Invalid] {
		return nil
	}
	if s, ok := a.notebook.Symbol(obj.Name()); ok && s.Object != nil && obj.Pkg() == s.Object.Pkg() && obj.Parent() == s.Object.Parent() {
		return a.explainSymbol(s)
	}
	if f, ok := obj.(*types.Func); ok && f.Signature().Recv() != nil {
		// A method that a cell declared. The key of a generic type's method
		// is that of the type.
		if s, ok := a.notebook.Symbol(ownerOf(u, obj) + "." + obj.Name()); ok && s.Object != nil && s.Object.Pkg() == obj.Pkg() {
			s.Object = obj
			return a.explainSymbol(s)
		}
	}
	symbol := obj.Name()
	if owner := ownerOf(u, obj); owner != "" {
		symbol = owner + "." + symbol
	}
	e := &explanation{signature: signatureOf(obj, u.Pkg)}
	if doc, ok := a.packages.Doc(obj.Pkg().Path(), symbol); ok {
		e.signature, e.text = doc.Signature, doc.Text
	}
	if c, ok := obj.(*types.Const); ok && !strings.Contains(e.signature, "=") {
		e.value = constantText(c.Val())
	}
	a.addType(e, obj)
	return e
}

// ownerOf returns the name of the type that a method or field belongs to.
func ownerOf(u *understood, obj types.Object) string {
	if f, ok := obj.(*types.Func); ok {
		if recv := f.Signature().Recv(); recv != nil {
			return typeName(recv.Type())
		}
		return ""
	}
	v, ok := obj.(*types.Var)
	if !ok || !v.IsField() {
		return ""
	}
	switch p := u.parent(1).(type) {
	case *ast.SelectorExpr:
		if s := u.Info.Selections[p]; s != nil {
			t := s.Recv()
			for _, i := range s.Index()[:len(s.Index())-1] {
				if st, ok := under(t).(*types.Struct); ok {
					t = st.Field(i).Type()
				}
			}
			return typeName(t)
		}
		return typeName(u.Info.TypeOf(p.X))
	case *ast.KeyValueExpr:
		if lit, ok := u.parent(2).(*ast.CompositeLit); ok {
			return typeName(u.Info.TypeOf(lit))
		}
	}
	return ""
}

func under(t types.Type) types.Type {
	if p, ok := t.Underlying().(*types.Pointer); ok {
		t = p.Elem()
	}
	return t.Underlying()
}

func typeName(t types.Type) string {
	if t == nil {
		return ""
	}
	if p, ok := types.Unalias(t).(*types.Pointer); ok {
		t = p.Elem()
	}
	if n, ok := types.Unalias(t).(*types.Named); ok {
		return n.Obj().Name()
	}
	return ""
}

// signatureOf writes an object's declaration.
func signatureOf(obj types.Object, from *types.Package) string {
	short := func(p *types.Package) string {
		if from != nil && p.Path() == from.Path() {
			return ""
		}
		return p.Name()
	}
	f, ok := obj.(*types.Func)
	if !ok || f.Signature().Recv() == nil {
		return types.ObjectString(obj, short)
	}
	recv := f.Signature().Recv()
	text := types.TypeString(f.Signature(), short)
	of := strings.TrimSpace(recv.Name() + " " + types.TypeString(recv.Type(), short))
	return "func (" + of + ") " + f.Name() + strings.TrimPrefix(text, "func")
}

// addType adds what the docs say about the type of a value: its unit.
func (a *Assistant) addType(e *explanation, obj types.Object) {
	var t types.Type
	switch o := obj.(type) {
	case *types.Var:
		t = o.Type()
	case *types.Func:
		if r := o.Signature().Results(); r.Len() > 0 {
			t = r.At(0).Type()
		}
	}
	if t == nil {
		return
	}
	if p, ok := t.(*types.Pointer); ok {
		t = p.Elem()
	}
	n, ok := types.Unalias(t).(*types.Named)
	if !ok || n.Obj().Pkg() == nil {
		return
	}
	if doc, ok := a.packages.Doc(n.Obj().Pkg().Path(), n.Obj().Name()); ok && doc.Text != "" {
		first, _, _ := strings.Cut(doc.Text, "\n\n")
		e.text = strings.TrimSpace(e.text + "\n\n" + n.Obj().Pkg().Name() + "." + n.Obj().Name() + ": " + first)
	}
}

// explainSymbol explains a live name of the notebook.
func (a *Assistant) explainSymbol(s interpreter.Symbol) *explanation {
	e := &explanation{signature: s.Name, text: strings.TrimSpace(s.Doc), more: strings.TrimSpace(s.Source)}
	if s.Object != nil {
		e.signature = signatureOf(s.Object, s.Object.Pkg())
		a.addType(e, s.Object)
	}
	if t, ok := s.Object.(*types.TypeName); ok {
		e.more = strings.TrimSpace(e.more + "\n\n" + methodList(t.Type(), s.Object.Pkg()))
	}
	if c, ok := s.Object.(*types.Const); ok {
		e.value = constantText(c.Val())
	}
	if s.Value.IsValid() {
		e.value = a.valueText(s.Value)
	}
	if s.Cell != "" {
		e.text = strings.TrimSpace(e.text + "\n\nDeclared in " + s.Cell + ".")
	}
	return e
}

// constantText writes a constant with all the digits a float64 has.
func constantText(v constant.Value) string {
	if v.Kind() == constant.Float {
		f, _ := constant.Float64Val(v)
		return strconv.FormatFloat(f, 'g', -1, 64)
	}
	return v.String()
}

// methodList lists a type's methods, one a line.
func methodList(t types.Type, from *types.Package) string {
	set := types.NewMethodSet(types.NewPointer(t))
	if types.IsInterface(t) {
		set = types.NewMethodSet(t)
	}
	var b strings.Builder
	for i := range set.Len() {
		fmt.Fprintln(&b, signatureOf(set.At(i).Obj(), from))
	}
	return strings.TrimSpace(b.String())
}

// valueText prints a value, cut to a few lines. Its methods run behind the
// gate: one that fails or does not return does no harm.
func (a *Assistant) valueText(v reflect.Value) string {
	if !v.CanInterface() {
		return v.Type().String()
	}
	text := ""
	err := a.notebook.Guarded(context.Background(), interpreter.Visit{Limit: interpreter.PatienceWithText}, func() { text = printed(v) })
	if err != nil {
		return fmt.Sprintf("(its text cannot be made: %s)", err.Message)
	}
	return text
}

func printed(v reflect.Value) string {
	const longest = 500
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.Array:
		if n := v.Len(); n > 100 {
			if v.Kind() != reflect.Map {
				return fmt.Sprintf("%v ... (%d values)", v.Slice(0, 20), n)
			}
			return fmt.Sprintf("%d entries", n)
		}
	}
	text := fmt.Sprintf("%+v", v.Interface())
	if len(text) > longest {
		text = strings.ToValidUTF8(text[:longest], "") + " ..."
	}
	return text
}

func (a *Assistant) explainPackage(path string) *explanation {
	doc, ok := a.packages.Doc(path, "")
	if !ok {
		pkg, err := a.notebook.Package(path)
		if err != nil {
			return nil
		}
		return &explanation{signature: fmt.Sprintf("package %s // import %q", pkg.Name(), path)}
	}
	return &explanation{signature: doc.Signature, text: doc.Text}
}

// bundle writes the explanation as text and as HTML.
func (e *explanation) bundle(detail int) notebook.Bundle {
	parts := []string{e.signature}
	if e.value != "" {
		parts[0] += " = " + e.value
	}
	if e.text != "" {
		parts = append(parts, e.text)
	}
	if detail > 0 && e.more != "" && e.more != e.signature {
		parts = append(parts, e.more)
	}
	b := notebook.TextBundle(strings.Join(parts, "\n\n"))
	var h strings.Builder
	fmt.Fprintf(&h, "<pre><b>%s</b></pre>", html.EscapeString(parts[0]))
	for i, p := range parts[1:] {
		tag := "div style=\"white-space:pre-wrap\""
		if detail > 0 && e.more != "" && i == len(parts)-2 {
			tag = "pre"
		}
		name, _, _ := strings.Cut(tag, " ")
		fmt.Fprintf(&h, "<%s>%s</%s>", tag, html.EscapeString(p), name)
	}
	b[notebook.MIMEHTML] = h.String()
	return b
}
