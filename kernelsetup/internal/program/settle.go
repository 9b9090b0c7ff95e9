package program

import (
	"fmt"
	"go/ast"
	"go/types"
	"regexp"
	"slices"
	"strings"
)

// settle gives the cell's names their names in the program, decides which
// earlier functions have to be written again, and takes the cell into what
// is live.
func (c *cell) settle() error {
	changed := make(map[string]bool)
	rename := func(name string) {
		c.finals[name] = c.unique(name)
		changed[name] = true
	}
	for _, g := range c.groups {
		for _, n := range g.names {
			if g.kind != methodDecl && n != "_" {
				delete(c.variables, n)
				rename(n)
			}
		}
	}
	again := c.followChanges(changed, rename)
	// Types are named now, so that variables can say theirs.
	for _, s := range c.steps {
		for _, n := range s.names {
			if n == "_" || s.old[n] {
				continue
			}
			obj := c.checked.pkg.Scope().Lookup(n)
			if obj == nil {
				return c.at(s.offset, fmt.Errorf("%s was not declared", n))
			}
			v := &variable{name: n}
			if err := c.describe(v, obj.Type()); err != nil {
				return c.at(s.offset, err)
			}
			if old := c.variables[n]; old == nil || old.finalType != v.finalType {
				rename(n)
				fmt.Fprintf(&c.declarations, "var %s %s\n\n", c.finals[n], v.finalType)
			}
			c.variables[n] = v
		}
	}
	again = append(again, c.followChanges(changed, rename)...)
	c.dropVariables(changed)
	slices.SortFunc(again, func(a, b *group) int { return slices.Index(c.writer.groups, a) - slices.Index(c.writer.groups, b) })
	for _, g := range slices.Compact(again) {
		c.writeGroup(g)
	}
	for _, g := range c.groups {
		c.writeGroup(g)
	}
	c.writer.groups = append(c.writer.groups, c.groups...)
	return nil
}

// followChanges renames the live functions and types that use a changed name,
// until none is left, and returns their groups.
func (c *cell) followChanges(changed map[string]bool, rename func(string)) []*group {
	var again []*group
	for found := true; found; {
		found = false
		for i := range c.checked.segments {
			s := &c.checked.segments[i]
			g := s.group
			if g == nil || g.cell == c.number || g.kind == constDecl || slices.Contains(again, g) || !c.mentions(s, changed) {
				continue
			}
			if g.kind == methodDecl && !changed[strings.Split(g.names[0], ".")[0]] {
				c.program.Warnings = append(c.program.Warnings, fmt.Sprintf("cell %d: method %s keeps what it used before", c.number, g.names[0]))
				continue
			}
			again, found = append(again, g), true
			if g.kind != methodDecl {
				for _, n := range g.names {
					rename(n)
				}
			}
		}
	}
	return again
}

// mentions reports whether a segment uses one of the names.
func (c *cell) mentions(s *segment, names map[string]bool) bool {
	found := false
	c.identifiers(s.start, s.end, func(id *ast.Ident) {
		if obj := c.checked.info.Uses[id]; obj != nil && obj.Parent() == c.checked.pkg.Scope() && names[obj.Name()] {
			found = true
		}
	})
	return found
}

// dropVariables forgets the variables whose type was declared anew.
func (c *cell) dropVariables(changed map[string]bool) {
	for name, v := range c.variables {
		if c.declared[name] {
			continue
		}
		for word := range strings.FieldsFuncSeq(v.typeText, func(r rune) bool { return strings.ContainsRune("*[](){}, ;.", r) }) {
			if changed[word] && c.checked.pkg.Scope().Lookup(word) != nil {
				if _, isType := c.checked.pkg.Scope().Lookup(word).(*types.TypeName); isType {
					delete(c.variables, name)
					c.program.Warnings = append(c.program.Warnings, fmt.Sprintf("cell %d: variable %s is dropped, its type changed", c.number, name))
				}
			}
		}
	}
}

var localName = regexp.MustCompile(`§\.(\pL[\pL\pN_]*)`)

// describe writes a variable's type in both sets of names.
func (c *cell) describe(v *variable, t types.Type) error {
	if name := hiddenName(t, c.checked.pkg, 0); name != "" {
		return fmt.Errorf("the type of %s cannot be written: it uses %s", v.name, name)
	}
	v.typeText = types.TypeString(t, func(p *types.Package) string {
		if p == c.checked.pkg {
			return ""
		}
		return c.alias(p.Path())
	})
	text := types.TypeString(t, func(p *types.Package) string {
		if p == c.checked.pkg {
			return "§"
		}
		return c.importName(p, p.Name())
	})
	v.finalType = localName.ReplaceAllStringFunc(text, func(m string) string {
		return c.final(strings.TrimPrefix(m, "§."))
	})
	return nil
}

// alias names a package in the text to check, whatever the notebook calls
// it.
func (w *writer) alias(path string) string {
	if w.aliases == nil {
		w.aliases = make(map[string]string)
	}
	if w.aliases[path] == "" {
		w.aliases[path] = fmt.Sprintf("alias%d_", len(w.aliases))
	}
	return w.aliases[path]
}

// final is the program's name of a live name.
func (w *writer) final(name string) string {
	if f := w.finals[name]; f != "" {
		return f
	}
	return name
}

// hiddenName returns the name of a type within t that the program's top level
// cannot name, empty where there is none.
func hiddenName(t types.Type, pkg *types.Package, depth int) string {
	if depth > 20 {
		return ""
	}
	inner := func(ts ...types.Type) string {
		for _, t := range ts {
			if name := hiddenName(t, pkg, depth+1); name != "" {
				return name
			}
		}
		return ""
	}
	switch t := t.(type) {
	case *types.Alias:
		return inner(types.Unalias(t))
	case *types.Named:
		obj := t.Obj()
		if obj.Pkg() != nil && (obj.Pkg() != pkg && !obj.Exported() || obj.Parent() != obj.Pkg().Scope()) {
			return obj.Name()
		}
		return inner(slices.Collect(t.TypeArgs().Types())...)
	case *types.Map:
		return inner(t.Key(), t.Elem())
	case interface{ Elem() types.Type }:
		return inner(t.Elem())
	case *types.Signature:
		for _, tuple := range []*types.Tuple{t.Params(), t.Results()} {
			for v := range tuple.Variables() {
				if name := inner(v.Type()); name != "" {
					return name
				}
			}
		}
	case *types.Struct:
		for f := range t.Fields() {
			if name := inner(f.Type()); name != "" {
				return name
			}
		}
	}
	return ""
}

func sortedNames(m map[string]*variable) []string {
	var names []string
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}
