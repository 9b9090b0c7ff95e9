package help

import (
	"context"
	"go/ast"
	"go/constant"
	"go/types"
	"reflect"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// texts lists what a text between quotes could be: the constants of its type
// where that has a name, such as the roles of channels; what the value knows to
// whose method it is given, such as the drives of a campaign, or files alone where
// it knows none for that method; else the names that any variable knows, and
// files. Where a function of a package takes the text, that is most often a file.
func (a *Assistant) texts(c *candidates, source string, p *place) {
	literal := *p
	literal.start, literal.prefix = p.start-1, ""
	if p.end < len(source) && source[p.end] == source[literal.start] { // it is closed
		literal.end++
	}
	u := a.understand(source, literal)
	if a.constants(c, a.expected(u, 0)) {
		return
	}
	rank, others := -10, true
	if call, ok := u.parent(1).(*ast.CallExpr); ok {
		if sel, ok := call.Fun.(*ast.SelectorExpr); ok {
			if id, ok := sel.X.(*ast.Ident); ok {
				listed, asked := a.namesFor(c, id.Name, sel.Sel.Name)
				if listed {
					return
				}
				others = !asked
			}
			rank = 10
		}
	}
	files := *p
	a.filePaths(c, &files)
	if others && files.start == p.start { // no path was begun
		for _, name := range a.known() {
			c.add(execution.Match{Text: name, Type: "text"}, rank)
		}
	}
	*p = files
}

// constants lists the values of the constants of a type that is a text with a
// name of its own.
func (a *Assistant) constants(c *candidates, t types.Type) bool {
	named, ok := types.Unalias(t).(*types.Named)
	if !ok || named.Obj().Pkg() == nil {
		return false
	}
	if b, ok := named.Underlying().(*types.Basic); !ok || b.Info()&types.IsString == 0 {
		return false
	}
	scope, found := named.Obj().Pkg().Scope(), false
	for _, n := range scope.Names() {
		k, ok := scope.Lookup(n).(*types.Const)
		if ok && k.Exported() && types.Identical(k.Type(), t) && k.Val().Kind() == constant.String {
			found = true
			c.add(execution.Match{Text: constant.StringVal(k.Val()), Type: "text", Signature: named.Obj().Pkg().Name() + "." + n}, 0)
		}
	}
	return found
}

// namesFor lists what a variable knows of a text that its method is given, if it is
// one that can be asked.
func (a *Assistant) namesFor(c *candidates, variable, method string) (listed, asked bool) {
	v, ok := variables[notebook.Namer](a)[variable]
	if !ok {
		return false, false
	}
	names := a.namesOf(v, method)
	for i, name := range names {
		c.add(execution.Match{Text: name, Type: "text"}, i)
	}
	return len(names) > 0, true
}

// known lists the names that all variables know.
func (a *Assistant) known() (names []string) {
	for _, v := range variables[notebook.Namer](a) {
		names = append(names, a.namesOf(v, "")...)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// namesOf are those of a value that can stand between quotes.
func (a *Assistant) namesOf(v notebook.Namer, method string) []string {
	all := answerOf(a, func() []string { return v.NamesFor(method) })
	return slices.DeleteFunc(slices.Clone(all), func(name string) bool { return strings.ContainsAny(name, "\"`\\\n") })
}

// variables returns the notebook's variables that are pointers and have the
// methods of an interface, by their names; those that are nil are left out. A
// pointer is read as one word, so that goroutines of cells may go on.
func variables[T any](a *Assistant) map[string]T {
	found := map[string]T{}
	for _, s := range a.notebook.Symbols() {
		v := s.Value
		if !v.IsValid() || v.Kind() != reflect.Pointer || v.IsNil() || !v.CanInterface() {
			continue
		}
		if t, ok := v.Interface().(T); ok {
			found[s.Name] = t
		}
	}
	return found
}

// answerOf is what a method of a variable answers; one that fails or takes long
// answers nothing.
func answerOf[T any](a *Assistant, method func() T) T {
	var answer, nothing T
	if a.notebook.Guarded(context.Background(), interpreter.Visit{Limit: interpreter.PatienceWithText}, func() { answer = method() }) != nil {
		return nothing
	}
	return answer
}
