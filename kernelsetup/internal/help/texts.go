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

var namer = reflect.TypeFor[notebook.Namer]()

// namesFor lists what a variable knows of a text that its method is given, if it is
// one that can be asked.
func (a *Assistant) namesFor(c *candidates, variable, method string) (listed, asked bool) {
	v, ok := a.notebook.Holding(namer)[variable]
	if !ok {
		return false, false
	}
	names := a.ask(v, method)
	for i, name := range names {
		c.add(execution.Match{Text: name, Type: "text"}, i)
	}
	return len(names) > 0, true
}

// known lists the names that all variables know.
func (a *Assistant) known() (names []string) {
	for _, v := range a.notebook.Holding(namer) {
		names = append(names, a.ask(v, "")...)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// ask asks a value for its names; one that fails or takes long knows none.
func (a *Assistant) ask(v any, method string) (names []string) {
	var answer []string
	err := a.notebook.Guarded(context.Background(), interpreter.Visit{Limit: interpreter.PatienceWithText}, func() {
		answer = v.(notebook.Namer).NamesFor(method)
	})
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(answer), func(name string) bool { return strings.ContainsAny(name, "\"`\\\n") })
}
