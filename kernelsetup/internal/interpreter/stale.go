package interpreter

import (
	"fmt"
	"go/constant"
	"go/token"
	"go/types"
	"maps"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
)

// aftermath is what a cell has replaced, as far as something may still use it
// as it was: function literals, values in interfaces, goroutines.
type aftermath struct {
	// retired are the names without a successor that old code could use.
	retired map[types.Object]bool
	gone    map[*identity]bool
	// rewritten are functions declared anew: literals made by them stay.
	rewritten map[types.Object]bool
	made      map[*identity]bool
	// imports are the names of imports that stand for other packages now.
	imports map[string]bool
	// grown tells that types have got other methods.
	grown bool
	// running is the old code of functions declared anew.
	running []oldCode
}

// oldCode is a function's. Where the function has the text it had, what it
// mentions tells whether the code differs.
type oldCode struct {
	title    string
	id       *identity
	code     vm.Old
	mentions map[string]bool // nil: it differs in any case
	imports  map[string]string
}

func (a *aftermath) init() {
	a.retired, a.rewritten, a.imports = map[types.Object]bool{}, map[types.Object]bool{}, map[string]bool{}
	a.gone, a.made = map[*identity]bool{}, map[*identity]bool{}
}

// retire notes that nothing follows an object.
func (c *change) retire(o types.Object) {
	all := []types.Object{o}
	if tn, ok := o.(*types.TypeName); ok {
		if n, ok := tn.Type().(*types.Named); ok {
			for m := range n.Methods() {
				all = append(all, m)
			}
			if i, ok := n.Underlying().(*types.Interface); ok {
				for m := range i.ExplicitMethods() {
					all = append(all, m)
				}
			}
		}
	}
	for _, o := range all {
		c.after.retired[o] = true
		c.after.gone[c.s.ids.of(o)] = true
		c.s.ids.follow(o, nil, false)
	}
}

// goesOn reports whether what uses a constant or a type as it was needs no
// change.
func goesOn(old, now types.Object) bool {
	if now == nil || !types.Identical(old.Type(), now.Type()) {
		return false
	}
	switch old := old.(type) {
	case *types.TypeName:
		_, ok := now.(*types.TypeName)
		return ok
	case *types.Const:
		now, ok := now.(*types.Const)
		return ok && constant.Compare(old.Val(), token.EQL, now.Val())
	}
	return false
}

// maxHeld is how many values are looked at to find who uses something old.
const maxHeld = 300_000

// stale tells, after a cell has run, what still uses something as it was
// before the cell.
func (s *session) stale(a *aftermath) []string {
	var out []string
	retired := map[string]bool{}
	for o := range a.retired {
		if f, ok := o.(*types.Func); ok {
			retired[objectKey(f, s.pkg)] = true
		} else {
			retired[o.Name()] = true
		}
	}
	for _, o := range a.running {
		old := o.mentions == nil
		for k := range o.mentions {
			old = old || retired[k]
		}
		for name := range o.imports {
			old = old || a.imports[name]
		}
		if old && s.machine.Running(o.code) {
			delete(a.made, o.id) // which says it of its literals, too
			delete(a.gone, o.id)
			out = append(out, fmt.Sprintf("a goroutine is still in %s as it was", o.title))
		}
	}
	if len(a.retired)+len(a.rewritten)+len(a.imports) == 0 && !a.grown {
		return out
	}
	known := map[*ssa.Function]bool{} // literals that a variable is named for
	for _, name := range s.unitKeys() {
		out = append(out, s.staleVariable(name, a, known)...)
	}
	return append(out, s.staleLiterals(a, known)...)
}

// renew gives the values of variables the methods that types have got.
func (s *session) renew() {
	h := vm.Holdings{Renew: true, Most: maxHeld}
	for _, name := range s.unitKeys() {
		if g := s.global(name); g != nil {
			h.Look(s.machine, g)
		}
	}
}

// global returns a variable of the notebook, nil if the name is none.
func (s *session) global(name string) *ssa.Global {
	v, ok := s.pkg.Scope().Lookup(name).(*types.Var)
	if u := s.units[name]; !ok || u == nil || u.tok != token.VAR {
		return nil
	}
	g, _ := s.objects[v].(*ssa.Global)
	return g
}

// staleVariable tells what of a variable's value is old.
func (s *session) staleVariable(name string, a *aftermath, known map[*ssa.Function]bool) []string {
	u := s.units[name]
	g := s.global(name)
	if g == nil {
		return nil
	}
	used, held, methods := map[string]bool{}, map[string]bool{}, map[string]bool{}
	h := vm.Holdings{Most: maxHeld}
	h.Func = func(fn *ssa.Function) {
		known[fn] = true
		for _, l := range s.usedBy(a, fn) {
			used[l] = true
		}
	}
	h.Type = func(t types.Type, stale bool) {
		if n := a.oldType(t, map[types.Type]bool{}); n != "" {
			held[n] = true
		} else if stale && a.grown {
			methods[types.TypeString(t, func(p *types.Package) string {
				if p == s.pkg {
					return ""
				}
				return p.Name()
			})] = true
		}
	}
	all := h.Look(s.machine, g)
	again := fmt.Sprintf("run %s again to renew it", u.src.Name)
	var out []string
	if len(used) > 0 {
		out = append(out, fmt.Sprintf("variable %s still uses %s: %s", name, asBefore(used), again))
	}
	if len(held) > 0 {
		out = append(out, fmt.Sprintf("variable %s still holds a value of %s: %s", name, asBefore(held), again))
	}
	if len(methods) > 0 {
		out = append(out, fmt.Sprintf("variable %s still holds a value of type %s with the methods it had: %s", name, strings.Join(slices.Sorted(maps.Keys(methods)), ", "), again))
	}
	if !all && len(out) == 0 {
		out = append(out, fmt.Sprintf("variable %s is too large to see whether something in it still uses %s", name, asBefore(a.names())))
	}
	return out
}

func asBefore(labels map[string]bool) string {
	list := slices.Sorted(maps.Keys(labels))
	if len(list) == 1 {
		return list[0] + " as it was"
	}
	return strings.Join(list, ", ") + " as they were"
}

// staleLiterals tells of function literals that use something old and that no
// variable holds: goroutines run them, or a package has got hold of them.
func (s *session) staleLiterals(a *aftermath, known map[*ssa.Function]bool) []string {
	list := s.staleOnes(a, known)
	if len(list) == 0 {
		return nil
	}
	runtime.GC() // most of them are gone, and nobody has noticed
	list = s.staleOnes(a, known)
	stacks := s.machine.OnStacks()
	var out []string
	for _, fn := range list {
		at := s.callAt("", fn.Pos())
		where := fmt.Sprintf("a function literal (%s, line %d)", at.Cell, at.Line)
		if at.Line == 0 {
			where = "a function literal"
		}
		labels := map[string]bool{}
		for _, l := range s.usedBy(a, fn) {
			labels[l] = true
		}
		if stacks[fn] {
			out = append(out, fmt.Sprintf("a goroutine is still in %s that uses %s", where, asBefore(labels)))
		} else {
			out = append(out, fmt.Sprintf("%s that something still holds uses %s", where, asBefore(labels)))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (s *session) staleOnes(a *aftermath, known map[*ssa.Function]bool) (out []*ssa.Function) {
	for _, fn := range s.machine.Literals() {
		if !known[fn] && len(s.usedBy(a, fn)) > 0 {
			out = append(out, fn)
		}
	}
	return out
}

// usedBy returns what of the old a function uses.
func (s *session) usedBy(a *aftermath, fn *ssa.Function) (out []string) {
	if fn.Parent() != nil {
		l := s.literals.of(fn)
		if l == nil {
			return nil
		}
		for id := range l.uses {
			if a.gone[id] {
				out = append(out, id.label)
			}
		}
		for name := range l.imports {
			if a.imports[name] {
				out = append(out, "package "+name)
			}
		}
		if l.in != nil && l.cell < s.cells && (a.made[l.in] || a.gone[l.in]) {
			out = append(out, l.in.label)
		}
		return out
	}
	// A declared function is checked again when what it uses changes: it is
	// old itself, or nothing is.
	if o, ok := fn.Object().(*types.Func); ok && o != nil && a.isRetired(o.Origin()) {
		out = append(out, label(o.Origin()))
	}
	return out
}

// isRetired reports whether nothing follows a function. Of a method, a func
// value may know an object from before its latest redeclaration.
func (a *aftermath) isRetired(f *types.Func) bool {
	if a.retired[f] {
		return true
	}
	recv := f.Signature().Recv()
	if recv == nil {
		return false
	}
	for o := range a.retired {
		m, ok := o.(*types.Func)
		if ok && m.Name() == f.Name() && m.Signature().Recv() != nil && namedOf(m.Signature().Recv().Type()) == namedOf(recv.Type()) {
			return true
		}
	}
	return false
}

// oldType returns the label of an old type that t is made of.
func (a *aftermath) oldType(t types.Type, seen map[types.Type]bool) string {
	out := ""
	eachNamed(t, seen, func(n *types.Named) {
		if o := n.Origin().Obj(); out == "" && a.retired[o] {
			out = label(o)
		}
	})
	return out
}

// names are the labels of all that is old.
func (a *aftermath) names() map[string]bool {
	out := map[string]bool{}
	for o := range a.retired {
		out[label(o)] = true
	}
	for o := range a.rewritten {
		out[label(o)] = true
	}
	for n := range a.imports {
		out["package "+n] = true
	}
	return out
}

// leftMethods tells of methods that an earlier text of the cell declared with
// a type, and that it does not have any more. Methods may come from other cells,
// so they stay.
func (c *change) leftMethods() {
	s := c.s
	declared := map[string]bool{}
	for _, u := range c.p.units {
		for _, k := range u.keys {
			declared[k] = true
		}
	}
	for _, k := range s.unitKeys() {
		name, _, ok := strings.Cut(k, ".")
		t, m := s.units[name], s.units[k]
		if !ok || declared[k] || !declared[name] || c.forgotten[k] || t == nil || t.src != m.along || c.broken[m] != "" {
			continue
		}
		m.along = c.p.Source
		c.taken = append(c.taken, fmt.Sprintf("type %s keeps method %s, which %s declared with it and this cell does not: a cell that says forget %s takes it away", name, k, m.src.Name, k))
	}
}

// label words what an object is.
func label(o types.Object) string {
	switch o := o.(type) {
	case *types.Func:
		if recv := o.Signature().Recv(); recv != nil {
			if n := namedOf(recv.Type()); n != nil {
				return "method " + n.Obj().Name() + "." + o.Name()
			}
			return "method " + o.Name()
		}
		return "function " + o.Name()
	case *types.TypeName:
		return "type " + o.Name()
	case *types.Const:
		return "constant " + o.Name()
	case *types.PkgName:
		return "package " + o.Name()
	}
	return "variable " + o.Name()
}
