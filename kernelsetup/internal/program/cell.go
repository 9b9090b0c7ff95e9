package program

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"go/types"
	"slices"
	"strconv"
	"strings"
)

// A cell is the cell at hand.
type cell struct {
	*writer
	number int
	source string

	declared map[string]bool // names this cell declares
	groups   []*group        // const, type, func and method declarations
	steps    []*step         // what runs, in order
	complete bool            // a whole program was pasted: call its main

	checked *checked
}

// A step is a statement or a variable declaration, executed in its place.
type step struct {
	chunk
	// define tells that the statement defines names with :=; old ones among
	// them were already declared in this cell.
	define bool
	names  []string
	old    map[string]bool
	last   bool
}

// sort puts the chunks in their places.
func (c *cell) sort(chunks []chunk) error {
	for i, ch := range chunks {
		var err error
		switch ch.kind {
		case packageClause:
			c.complete = true
		case importDecl:
			err = c.importChunk(ch)
		case varDecl:
			err = c.varChunk(ch)
		case statement:
			err = c.statementChunk(ch, i == len(chunks)-1)
		default:
			err = c.groupChunk(ch)
		}
		if err != nil {
			return c.at(ch.offset, err)
		}
	}
	return nil
}

// at gives an error the line of an offset in the cell.
func (c *cell) at(offset int, err error) error {
	if p, ok := err.(*positionError); ok {
		// A missing brace is found missing after the last line.
		last := 1 + strings.Count(strings.TrimRight(c.source, "\n"), "\n")
		return &positionError{line: min(last, p.line+strings.Count(c.source[:offset], "\n")), err: p.err}
	}
	trimmed := strings.TrimLeft(c.source[offset:], " \t\n")
	offset = len(c.source) - len(trimmed)
	return &positionError{line: 1 + strings.Count(c.source[:offset], "\n"), err: err}
}

func (c *cell) importChunk(ch chunk) error {
	file, err := parser.ParseFile(token.NewFileSet(), "", "package p;"+ch.text, parser.ImportsOnly)
	if err != nil {
		return syntaxError(err)
	}
	for _, spec := range file.Imports {
		path, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return err
		}
		pkg, err := c.importer.Import(path)
		if err != nil {
			return err
		}
		name := pkg.Name()
		if spec.Name != nil {
			name = spec.Name.Name
		}
		switch name {
		case "_":
			if !slices.Contains(c.blank, path) {
				c.blank = append(c.blank, path)
			}
		case ".":
			if !slices.Contains(c.dotImports, path) {
				c.dotImports = append(c.dotImports, path)
			}
		default:
			c.forget(name)
			c.importNames[name] = path
		}
	}
	return nil
}

func (c *cell) varChunk(ch chunk) error {
	names, err := parseNames(ch.kind, ch.text)
	if err != nil {
		return err
	}
	for _, n := range names {
		if err := c.declare(n); err != nil {
			return err
		}
	}
	c.steps = append(c.steps, &step{chunk: ch, names: names})
	return nil
}

func (c *cell) groupChunk(ch chunk) error {
	names, err := parseNames(ch.kind, ch.text)
	if err != nil {
		return err
	}
	for _, n := range names {
		if err := c.declare(n); err != nil {
			return err
		}
	}
	c.groups = append(c.groups, &group{kind: ch.kind, text: ch.text, names: names, dead: make(map[string]bool), cell: c.number, offset: ch.offset})
	return nil
}

func (c *cell) statementChunk(ch chunk, last bool) error {
	const before = "package p;func _(){"
	file, err := parser.ParseFile(token.NewFileSet(), "", before+ch.text+"\n}", parser.SkipObjectResolution)
	if err != nil {
		return syntaxError(err)
	}
	s := &step{chunk: ch, last: last}
	body := file.Decls[0].(*ast.FuncDecl).Body.List
	if len(body) == 1 {
		if assign, ok := body[0].(*ast.AssignStmt); ok && assign.Tok == token.DEFINE {
			s.define, s.old = true, make(map[string]bool)
			fresh := false
			for _, l := range assign.Lhs {
				id, ok := l.(*ast.Ident)
				if !ok {
					return fmt.Errorf("non-name on left side of :=")
				}
				s.names = append(s.names, id.Name)
				if c.declared[id.Name] {
					s.old[id.Name] = true
				} else if id.Name != "_" {
					fresh = true
				}
			}
			if !fresh {
				return fmt.Errorf("no new variables on left side of :=")
			}
			for _, n := range s.names {
				if !s.old[n] {
					if err := c.declare(n); err != nil {
						return err
					}
				}
			}
		}
	}
	c.steps = append(c.steps, s)
	return nil
}

// declare notes a name that this cell declares and forgets what it stood for.
func (c *cell) declare(name string) error {
	if name == "_" || name == "init" {
		return nil
	}
	if c.declared[name] {
		return fmt.Errorf("%s redeclared in this cell", name)
	}
	c.declared[name] = true
	c.forget(name)
	return nil
}

// forget takes a name out of what is live, except a variable: whether it
// stays the same one depends on its type.
func (w *writer) forget(name string) {
	delete(w.importNames, name)
	w.groups = slices.DeleteFunc(w.groups, func(g *group) bool {
		if slices.Contains(g.names, name) {
			g.dead[name] = true
		}
		return len(g.dead) == len(g.names)
	})
	// A type's methods go with it.
	w.groups = slices.DeleteFunc(w.groups, func(g *group) bool {
		return g.kind == methodDecl && strings.HasPrefix(g.names[0], name+".")
	})
}

// syntaxError keeps the first error and its line.
func syntaxError(err error) error {
	if list, ok := err.(scanner.ErrorList); ok && len(list) > 0 {
		return &positionError{line: list[0].Pos.Line, err: fmt.Errorf("%s", list[0].Msg)}
	}
	return err
}

// checked is what the checker found out about the live notebook and the cell.
type checked struct {
	fset *token.FileSet
	file *ast.File
	info *types.Info
	pkg  *types.Package
	text string
	// segments place parts of text.
	segments []segment
	// unused are the positions of names declared and not used, labels too.
	unused []token.Pos
}

// A segment is a part of the text to check that comes from a group or a
// step.
type segment struct {
	start, end int
	group      *group
	step       *step
}
