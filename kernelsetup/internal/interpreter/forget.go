package interpreter

import (
	"cmp"
	"fmt"
	"go/token"
	"go/types"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// forget plans to take names back, as a cell of one line can ask for.
func (s *session) forget(p *prepared, names []string, everything bool) (*change, *Error) {
	c := &change{s: s, p: p, broken: map[*unit]string{}, imports: map[string]string{}}
	c.forgotten = map[string]bool{}
	if everything {
		for k := range s.units {
			c.forgotten[k] = true
		}
		for name := range s.imports {
			c.forgotten[name] = true
		}
		c.emptied, c.dotsLost = true, slices.Clone(s.dots)
		c.notices = append(c.notices, "the notebook is empty: all names and imports are forgotten")
		return c, nil
	}
	changed := map[string]bool{}
	for _, name := range names {
		u, imported := s.units[name], s.imports[name] != ""
		if u == nil && !imported {
			e := &Error{Kind: TypeError, Cell: p.Source.Name, Message: fmt.Sprintf("there is no %s to forget", name)}
			if n := nearest(name, append(s.unitKeys(), slices.Collect(maps.Keys(s.imports))...)); n != "" {
				e.Hint = fmt.Sprintf("did you mean %s?", n)
			}
			return nil, e
		}
		c.take(name, changed)
	}
	c.spread(changed)
	return c, nil
}

// take takes one name back, and notes in changed what that changes.
func (c *change) take(name string, changed map[string]bool) {
	s := c.s
	c.forgotten[name] = true
	if s.imports[name] != "" {
		changed["import "+name] = true
	}
	u := s.units[name]
	if u == nil {
		return
	}
	changed[name] = true
	switch u.tok {
	case token.TYPE: // with its methods
		for _, k := range s.unitKeys() {
			if !strings.HasPrefix(k, name+".") {
				continue
			}
			c.forgotten[k], changed[k] = true, true
			if m := s.units[k]; m.src != u.src {
				c.notices = append(c.notices, fmt.Sprintf("method %s of %s is forgotten with type %s", k, m.src.Name, name))
			}
		}
	case token.CONST: // declared together, they go together
		for _, k := range u.keys {
			if !c.forgotten[k] {
				c.notices = append(c.notices, fmt.Sprintf("constant %s was declared with %s and is forgotten, too", k, name))
				c.forgotten[k], changed[k] = true, true
			}
		}
	}
}

// alone takes back what earlier cells have made of Go and of the types that a
// complete program declares: it means what the compiler would say.
func (c *change) alone(changed map[string]bool) {
	s := c.s
	c.forgotten = map[string]bool{}
	declared := map[string]bool{}
	for _, u := range c.p.units {
		for _, k := range u.keys {
			declared[k] = true
		}
	}
	for _, k := range s.unitKeys() {
		if declared[k] {
			continue
		}
		if t, _, ok := strings.Cut(k, "."); ok && declared[t] {
			c.take(k, changed)
			c.taken = append(c.taken, fmt.Sprintf("method %s of an earlier cell is gone: the program's type %s does not have it", k, t))
		} else if !ok && types.Universe.Lookup(k) != nil {
			c.take(k, changed)
		}
	}
	for _, path := range s.dots {
		if !slices.Contains(c.dots, path) {
			c.dotsLost = append(c.dotsLost, path)
			c.taken = append(c.taken, fmt.Sprintf("package %q is no longer imported with a dot", path))
		}
	}
}

// bringBack gives forgotten names what they stood for before cells took them.
func (c *change) bringBack() {
	s := c.s
	mine := map[string]bool{}
	for _, u := range slices.Concat(c.units, c.same) {
		for _, k := range u.keys {
			mine[k] = true
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.forgotten)) {
		if mine[name] {
			continue
		}
		delete(s.units, name)
		delete(s.imports, name)
		path, hidden := s.hidden[name]
		delete(s.hidden, name)
		switch {
		case c.emptied:
		case hidden:
			s.imports[name] = path
			c.taken = append(c.taken, fmt.Sprintf("%s is package %q again", name, path))
		case types.Universe.Lookup(name) != nil:
			c.taken = append(c.taken, fmt.Sprintf("%s is Go's own again", name))
		}
	}
	s.dots = slices.DeleteFunc(s.dots, func(path string) bool { return slices.Contains(c.dotsLost, path) })
	if c.emptied {
		clear(s.hidden)
	}
}

// hides notes names of Go's own and of imports that the cell's declarations
// take, and tells of those whose loss nobody would notice.
func (c *change) hides() {
	s := c.s
	for _, u := range slices.Concat(c.units, c.same) {
		for _, k := range u.keys {
			if path, ok := s.imports[k]; ok && c.imports[k] == "" {
				if s.hidden == nil {
					s.hidden = map[string]string{}
				}
				s.hidden[k] = path
				c.taken = append(c.taken, fmt.Sprintf("%s is no longer package %q in cells that follow: a cell that says forget %s brings it back", k, path, k))
			}
			switch o := types.Universe.Lookup(k); o.(type) {
			case *types.TypeName, *types.Const, *types.Nil:
				c.taken = append(c.taken, fmt.Sprintf("%s is no longer Go's own: a cell that says forget %s brings that back", k, k))
			}
		}
	}
	for name, path := range c.imports {
		delete(s.hidden, name)
		if o := c.removed[name]; o != nil && s.units[name] != nil {
			c.taken = append(c.taken, fmt.Sprintf("%s is gone: %s stands for package %q now", label(o), name, path))
		}
	}
}

// hiddenBy returns a hint where an error rests on a name that cells have taken
// from Go or from an import.
func (c *change) hiddenBy(e types.Error) string {
	at := ""
	if src, off := c.s.place.Find(e.Pos); src != nil {
		at = firstName.FindString(string(src.Text[off:]))
	}
	names := []string{at, firstName.FindString(e.Msg)}
	if m := calledName.FindStringSubmatch(e.Msg); m != nil {
		names = append(names, m[1])
	}
	for _, name := range names {
		u := c.s.units[name]
		for _, mine := range c.units {
			if slices.Contains(mine.keys, name) {
				u = mine
			}
		}
		if u == nil || name == "" {
			continue
		}
		what := ""
		if types.Universe.Lookup(name) != nil {
			what = "Go's own " + name
		} else if path := cmp.Or(c.s.hidden[name], c.s.imports[name]); path != "" && c.imports[name] == "" {
			what = fmt.Sprintf("package %q", path)
		}
		if what != "" {
			return fmt.Sprintf("%s is the %s of %s, which hides %s: a cell that says forget %s brings it back.", name, kindWord(u.tok), u.src.Name, what, name)
		}
	}
	return ""
}

var (
	firstName  = regexp.MustCompile(`^[\pL_][\pL\pN_]*`)
	calledName = regexp.MustCompile(`cannot call (?:non-function )?([\pL_][\pL\pN_]*)`)
)

func kindWord(tok token.Token) string {
	switch tok {
	case token.FUNC:
		return "function"
	case token.TYPE:
		return "type"
	case token.CONST:
		return "constant"
	}
	return "variable"
}
