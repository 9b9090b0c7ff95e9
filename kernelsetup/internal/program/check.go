package program

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"slices"
	"strings"
)

// check type-checks the live notebook together with the cell. Groups of
// earlier cells that no longer compile are dropped.
func (c *cell) check() error {
	for {
		broken, err := c.checkOnce()
		if err != nil || broken == nil {
			return err
		}
		c.program.Warnings = append(c.program.Warnings, fmt.Sprintf("cell %d: %s no longer compiles", c.number, strings.Join(broken.names, ", ")))
		c.writer.groups = slices.DeleteFunc(c.writer.groups, func(g *group) bool { return g == broken })
	}
}

func (c *cell) checkOnce() (*group, error) {
	ch := &checked{fset: token.NewFileSet()}
	c.checked = ch
	ch.text = c.checkText()
	file, err := parser.ParseFile(ch.fset, "", ch.text, parser.SkipObjectResolution)
	if err != nil {
		return nil, syntaxError(err)
	}
	ch.file = file
	ch.info = &types.Info{
		Types: make(map[ast.Expr]types.TypeAndValue), Defs: make(map[*ast.Ident]types.Object),
		Uses: make(map[*ast.Ident]types.Object), Selections: make(map[*ast.SelectorExpr]*types.Selection),
	}
	var failed []types.Error
	config := types.Config{
		Importer: c.importer,
		Sizes:    types.SizesFor("gc", "amd64"),
		Error: func(err error) {
			e, ok := err.(types.Error)
			switch {
			case !ok:
			case strings.Contains(e.Msg, "declared and not used"):
				ch.unused = append(ch.unused, e.Pos)
			case strings.HasSuffix(e.Msg, "and not used"), strings.HasPrefix(e.Msg, "\t"),
				strings.HasPrefix(e.Msg, "initialization cycle"):
			case strings.HasSuffix(e.Msg, "is not used") && c.isLastExpression(e.Pos):
			default:
				failed = append(failed, e)
			}
		},
	}
	ch.pkg, _ = config.Check("main", ch.fset, []*ast.File{file}, ch.info)
	if len(failed) == 0 {
		return nil, nil
	}
	// Errors in the cell itself count first.
	for _, e := range failed {
		if s := c.segmentAt(e.Pos); s == nil || s.group == nil || s.group.cell == c.number {
			return nil, c.place(e)
		}
	}
	return c.segmentAt(failed[0].Pos).group, nil
}

// checkText writes what is live and the cell as one file.
func (c *cell) checkText() string {
	var b strings.Builder
	c.checked.segments = nil
	b.WriteString("package main\n")
	for name, path := range c.importNames {
		fmt.Fprintf(&b, "import %s %q\n", name, path)
	}
	for _, path := range c.dotImports {
		fmt.Fprintf(&b, "import . %q\n", path)
	}
	for path, alias := range c.aliases {
		fmt.Fprintf(&b, "import %s %q\n", alias, path)
	}
	for _, name := range sortedNames(c.variables) {
		if !c.declared[name] {
			fmt.Fprintf(&b, "var %s %s\n", name, c.variables[name].typeText)
		}
	}
	add := func(text string, s segment) {
		s.start = b.Len()
		b.WriteString(text)
		s.end = b.Len()
		b.WriteByte('\n')
		c.checked.segments = append(c.checked.segments, s)
	}
	for _, g := range slices.Concat(c.writer.groups, c.groups) {
		add(g.living(), segment{group: g})
	}
	for _, s := range c.steps {
		if s.kind == varDecl {
			add(s.text, segment{step: s})
		} else if s.define {
			b.WriteString("var ")
			add(s.asVar(), segment{step: s})
		}
	}
	b.WriteString("func _() {\n")
	for _, s := range c.steps {
		if s.kind != varDecl && !s.define {
			add(s.text, segment{step: s})
		}
	}
	b.WriteString("}\n")
	return b.String()
}

// living is the group's text with its dead names blanked.
func (g *group) living() string {
	if len(g.dead) == 0 || g.kind != constDecl {
		return g.text
	}
	const before = "package p;"
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "", before+g.text, parser.SkipObjectResolution)
	if err != nil {
		return g.text
	}
	text := []byte(g.text)
	for _, decl := range file.Decls {
		for _, spec := range decl.(*ast.GenDecl).Specs {
			for _, n := range spec.(*ast.ValueSpec).Names {
				if g.dead[n.Name] {
					blank(text, fset.Position(n.Pos()).Offset-len(before), len(n.Name))
				}
			}
		}
	}
	return string(text)
}

// asVar is a defining statement as the end of a variable declaration of the
// same length; names that exist already are blanked.
func (s *step) asVar() string {
	const before = "package p;func _(){"
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "", before+s.text+"\n}", parser.SkipObjectResolution)
	if err != nil {
		return s.text
	}
	text := []byte(s.text)
	assign := file.Decls[0].(*ast.FuncDecl).Body.List[0].(*ast.AssignStmt)
	for _, l := range assign.Lhs {
		if id := l.(*ast.Ident); s.old[id.Name] {
			blank(text, fset.Position(id.Pos()).Offset-len(before), len(id.Name))
		}
	}
	at := fset.Position(assign.TokPos).Offset - len(before)
	copy(text[at:], " =")
	return string(text)
}

func blank(text []byte, at, length int) {
	copy(text[at:], "_"+strings.Repeat(" ", length-1))
}

// segmentAt finds the segment of a position.
func (c *cell) segmentAt(pos token.Pos) *segment {
	offset := c.checked.fset.Position(pos).Offset
	for i := range c.checked.segments {
		if s := &c.checked.segments[i]; s.start <= offset && offset <= s.end {
			return s
		}
	}
	return nil
}

// place gives a checker's error its line in the cell.
func (c *cell) place(e types.Error) error {
	err := fmt.Errorf("%s", strings.TrimSpace(e.Msg))
	s := c.segmentAt(e.Pos)
	if s == nil {
		return err
	}
	offset := c.checked.fset.Position(e.Pos).Offset - s.start
	if s.step != nil {
		offset += s.step.offset
	} else {
		offset += s.group.offset
	}
	return &positionError{line: 1 + strings.Count(c.source[:min(offset, len(c.source))], "\n"), err: err}
}

// isLastExpression reports whether a position lies in the cell's last
// statement, which may be a value.
func (c *cell) isLastExpression(pos token.Pos) bool {
	s := c.segmentAt(pos)
	return s != nil && s.step != nil && s.step.last
}
