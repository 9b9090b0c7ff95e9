package interpreter

import (
	"encoding/json"
	"fmt"
	"go/token"
	"go/types"
	"maps"
	"reflect"
	"slices"
	"strings"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/snapshot"
)

// SaveLimit is how many bytes of values are saved.
const SaveLimit = 64 << 20

// Saved is a notebook as it was at the end of a cell: what another process
// needs to go on with it without running anything.
type Saved struct {
	// After names that cell.
	After string
	// Imports are names of packages and their paths, Dots those imported with
	// a dot.
	Imports map[string]string
	Dots    []string
	// Cells are sources with declarations that are still alive.
	Cells []SavedCell
	// Variables are those whose values are in Groups.
	Variables []SavedVariable
	// Left are the variables whose values are not, and why.
	Left []snapshot.Left
	// Groups are the values.
	Groups []snapshot.Group `json:"-"`
}

// SavedCell is the text of a cell and the keys of its live declarations.
type SavedCell struct {
	Name, Text string
	Keys       []string
}

// SavedVariable is a variable with its type in Go's words, packages by the
// names in Packages.
type SavedVariable struct {
	Name, Type, Cell string
	Packages         map[string]string // name and path
}

// Save returns the notebook as it is between two cells; ok is false while a
// cell runs and when stop has told it to give up.
func (e *Interpreter) Save(stop func() bool) (saved Saved, ok bool) { return e.session.save(stop) }

func (s *session) save(stop func() bool) (saved Saved, ok bool) {
	if !s.run.TryLock() {
		return saved, false
	}
	defer s.run.Unlock()
	if !s.state.TryLock() {
		return saved, false
	}
	defer s.state.Unlock()
	saved = Saved{After: s.lastCell, Imports: maps.Clone(s.imports), Dots: slices.Clone(s.dots)}
	cells := map[*meaning.Source]int{}
	seen := map[*unit]bool{}
	var vars []snapshot.Variable
	about := map[string]SavedVariable{}
	for _, k := range s.unitKeys() {
		u := s.units[k]
		if u.tok == token.VAR {
			v, place, why := s.variable(k, u)
			if why != "" {
				saved.Left = append(saved.Left, snapshot.Left{Name: k, Why: why})
				continue
			}
			about[k] = v
			vars = append(vars, snapshot.Variable{Name: k, Value: place})
			continue
		}
		if seen[u] || u.broken != "" {
			continue
		}
		seen[u] = true
		i, ok := cells[u.src]
		if !ok {
			i = len(saved.Cells)
			cells[u.src] = i
			saved.Cells = append(saved.Cells, SavedCell{Name: u.src.Name, Text: string(u.src.Text)})
		}
		for _, k := range u.keys {
			if s.units[k] == u {
				saved.Cells[i].Keys = append(saved.Cells[i].Keys, k)
			}
		}
	}
	groups, left, ok := snapshot.Write(vars, snapshot.Options{Limit: SaveLimit, Stop: stop,
		Shared: !s.machine.Alone(), Lock: s.machine.LockMap})
	if !ok {
		return saved, false
	}
	saved.Groups = groups
	saved.Left = append(saved.Left, left...)
	for _, g := range groups {
		for _, name := range g.Names {
			saved.Variables = append(saved.Variables, about[name])
		}
	}
	return saved, true
}

// variable tells what is needed to declare a variable again and where it is;
// or why that can't be.
func (s *session) variable(name string, u *unit) (v SavedVariable, place reflect.Value, why string) {
	obj, _ := s.pkg.Scope().Lookup(name).(*types.Var)
	g, _ := s.objects[obj].(*ssa.Global)
	if obj == nil || g == nil {
		return v, place, "it has no value"
	}
	v = SavedVariable{Name: name, Cell: u.src.Name, Packages: map[string]string{}}
	if why := s.unspeakable(obj.Type(), map[types.Type]bool{}); why != "" {
		return v, place, why
	}
	names := map[string]string{}
	v.Type = types.TypeString(obj.Type(), func(p *types.Package) string {
		if p == s.pkg {
			return ""
		}
		n, ok := names[p.Path()]
		if !ok {
			n = fmt.Sprintf("%s%s%d", restoredPrefix, p.Name(), len(names))
			names[p.Path()] = n
			v.Packages[n] = p.Path()
		}
		return n
	})
	place, err := s.machine.Global(g)
	if err != nil {
		return v, place, err.Error()
	}
	return v, place, ""
}

// restoredPrefix begins the names by which restored declarations import
// packages.
const restoredPrefix = "restored_"

// unspeakable says why a type can't be written down outside of where it was
// declared, empty where it can.
func (s *session) unspeakable(t types.Type, seen map[types.Type]bool) string {
	if seen[t] {
		return ""
	}
	seen[t] = true
	all := func(list ...types.Type) string {
		for _, t := range list {
			if why := s.unspeakable(t, seen); why != "" {
				return why
			}
		}
		return ""
	}
	named := func(o *types.TypeName, args *types.TypeList) string {
		switch {
		case o.Pkg() == nil:
		case o.Parent() != o.Pkg().Scope() && o.Pkg() == s.pkg:
			return "its type " + o.Name() + " is local to a function"
		case o.Pkg() != s.pkg && !o.Exported():
			return "its type " + o.Pkg().Name() + "." + o.Name() + " is not exported"
		case o.Pkg() == s.pkg && s.pkg.Scope().Lookup(o.Name()) != o:
			return "its type " + o.Name() + " is an earlier one of that name"
		}
		for i := range args.Len() {
			if why := all(args.At(i)); why != "" {
				return why
			}
		}
		return ""
	}
	switch t := t.(type) {
	case *types.Alias:
		return named(t.Obj(), t.TypeArgs())
	case *types.Named:
		return named(t.Obj(), t.TypeArgs())
	case *types.Pointer:
		return all(t.Elem())
	case *types.Slice:
		return all(t.Elem())
	case *types.Array:
		return all(t.Elem())
	case *types.Map:
		return all(t.Key(), t.Elem())
	case *types.Chan:
		return "a channel belongs to one process"
	case *types.Signature:
		return "a function value belongs to one process"
	case *types.Struct:
		for i := range t.NumFields() {
			if _, ok := t.Field(i).Type().Underlying().(*types.Signature); ok {
				continue
			}
			if why := all(t.Field(i).Type()); why != "" {
				return why
			}
		}
	}
	return ""
}

// typeOf finds a type by snapshot's description of it.
func (s *session) typeOf(text string) (reflect.Type, error) {
	t, rest, err := s.described(text)
	if err != nil {
		return nil, err
	}
	if rest != "" {
		return nil, fmt.Errorf("type %q is not understood", text)
	}
	return s.machine.RuntimeType(t)
}

func (s *session) described(text string) (t types.Type, rest string, err error) {
	if text == "" {
		return nil, "", fmt.Errorf("a type is missing")
	}
	elem := func(wrap func(types.Type) types.Type) (types.Type, string, error) {
		t, rest, err := s.described(text[1:])
		if err != nil {
			return nil, "", err
		}
		return wrap(t), rest, nil
	}
	number := func() (n int64, rest string, err error) {
		word, rest, _ := strings.Cut(text[1:], ";")
		_, err = fmt.Sscan(word, &n)
		return n, rest, err
	}
	switch text[0] {
	case '*':
		return elem(func(t types.Type) types.Type { return types.NewPointer(t) })
	case '[':
		return elem(func(t types.Type) types.Type { return types.NewSlice(t) })
	case '?':
		return types.NewInterfaceType(nil, nil).Complete(), text[1:], nil
	case '#':
		n, rest, err := number()
		if err != nil {
			return nil, "", err
		}
		t, rest, err := s.described(rest)
		if err != nil {
			return nil, "", err
		}
		return types.NewArray(t, n), rest, nil
	case '%':
		k, rest, err := s.described(text[1:])
		if err != nil {
			return nil, "", err
		}
		v, rest, err := s.described(rest)
		if err != nil {
			return nil, "", err
		}
		return types.NewMap(k, v), rest, nil
	case '{':
		n, rest, err := number()
		if err != nil || n > 1000 {
			return nil, "", fmt.Errorf("a struct of %d fields", n)
		}
		var fields []*types.Var
		for range n {
			var name string
			name, rest, _ = strings.Cut(rest, ";")
			var t types.Type
			if t, rest, err = s.described(rest); err != nil {
				return nil, "", err
			}
			fields = append(fields, types.NewField(token.NoPos, s.pkg, name, t, false))
		}
		return types.NewStruct(fields, nil), rest, nil
	}
	word, rest, _ := strings.Cut(text, ";")
	name, path, ok := strings.Cut(word, " ")
	scope := types.Universe
	switch {
	case path == "main":
		scope = s.pkg.Scope()
	case ok:
		p, err := s.packages.Import(path)
		if err != nil {
			return nil, "", err
		}
		scope = p.Scope()
	}
	o, _ := scope.Lookup(name).(*types.TypeName)
	if o == nil {
		return nil, "", fmt.Errorf("there is no type %s", word)
	}
	return o.Type(), rest, nil
}

// Head returns all but the values, for another process.
func (saved Saved) Head() []byte {
	raw, _ := json.Marshal(saved)
	return raw
}
