package program

import (
	"fmt"
	"go/ast"
	"go/types"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// versionSuffix ends the import paths whose last part is not the package's
// name.
var versionSuffix = regexp.MustCompile(`^v[0-9]+$`)

const notebookPath = "github.com/bonnetbook/bonnetbook/pkg/notebook"

// A writer collects the program.
type writer struct {
	program *Program
	cells   []*cell

	// names holds every name taken at the program's top level, locals those
	// declared anywhere below.
	names, locals map[string]bool
	// imports maps the import paths that the program uses to their names in
	// it; blank are imported for their effect.
	imports map[string]string
	blank   []string
	// finals are the names in the program of what the notebook declares at
	// its top level.
	finals map[types.Object]string
	// versions holds, for each function and method that is replaced, all that
	// stand for it.
	versions map[*types.Func]*versions
	chains   []*versions

	declarations strings.Builder
	entries      []string
	// helpers are the names of the helpers that are written already.
	helpers map[string]string
}

// A cell is one cell of the notebook.
type cell struct {
	*writer
	number  int
	record  *interpreter.Record  // nil where one of the next is set
	special *meaning.SpecialCell // not Go
	failure *interpreter.Error   // does not compile, and may fail
	mayFail bool
	timed   bool
	// starts are the versions that hold from this cell on.
	starts []start
}

func newWriter() *writer {
	return &writer{
		program: new(Program),
		names:   map[string]bool{"main": true, "init": true, "_": true},
		locals:  map[string]bool{},
		imports: map[string]string{}, finals: map[types.Object]string{},
		versions: map[*types.Func]*versions{}, helpers: map[string]string{},
	}
}

// write puts the cells into declarations and entries, after names are given
// to all that they declare.
func (w *writer) write() error {
	for _, c := range w.cells {
		c.noteLocals()
	}
	w.link()
	for _, c := range w.cells {
		if err := c.name(); err != nil {
			return err
		}
	}
	for _, c := range w.cells {
		if err := c.write(); err != nil {
			return err
		}
	}
	return nil
}

// noteLocals collects the names declared within functions: what is declared
// outside must not be hidden by them where it got another name.
func (c *cell) noteLocals() {
	if c.record == nil {
		return
	}
	for id, obj := range c.record.Info.Defs {
		switch o := obj.(type) {
		case *types.Var:
			if o.IsField() || o.Parent() == c.record.Pkg.Scope() {
				continue
			}
		case *types.Const, *types.TypeName:
			if o.Parent() == c.record.Pkg.Scope() {
				continue
			}
		default:
			continue
		}
		c.locals[id.Name] = true
	}
}

// unique returns a name of the program's top level that is not taken yet.
func (w *writer) unique(name string) string {
	free := name
	for i := 2; w.names[free] || free != name && w.locals[free]; i++ {
		free = name + "_" + strconv.Itoa(i)
	}
	w.names[free] = true
	return free
}

// fresh is unique for a name that is none of the notebook's: what functions
// call something of their own must not hide it.
func (w *writer) fresh(name string) string {
	if w.locals[name] && !w.names[name] {
		w.names[name] = true
		defer delete(w.names, name)
	}
	return w.unique(name)
}

// importName returns the program's name of a package: the one it was first
// called by, where that is free.
func (w *writer) importName(p *types.Package, called string) string {
	if w.imports[p.Path()] == "" {
		w.imports[p.Path()] = w.fresh(called)
	}
	return w.imports[p.Path()]
}

// final is the program's name of what is declared at the notebook's top
// level.
func (w *writer) final(obj types.Object) string {
	if f, ok := obj.(*types.Func); ok {
		obj = f.Origin()
	}
	if name := w.finals[obj]; name != "" {
		return name
	}
	return obj.Name()
}

// text puts the program together.
func (w *writer) text(opt Options) string {
	name, entry := opt.Package, opt.Entry
	if name == "" {
		name = "main"
	}
	if entry == "" {
		entry = "main"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "package %s\n\nimport (\n", name)
	var paths []string
	for path := range w.imports {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	for _, path := range paths {
		short := path[strings.LastIndex(path, "/")+1:]
		if w.imports[path] == short && !versionSuffix.MatchString(short) {
			fmt.Fprintf(&b, "\t%q\n", path)
		} else {
			fmt.Fprintf(&b, "\t%s %q\n", w.imports[path], path)
		}
	}
	for _, path := range w.blank {
		if w.imports[path] == "" {
			fmt.Fprintf(&b, "\t_ %q\n", path)
		}
	}
	b.WriteString(")\n\n")
	b.WriteString(w.declarations.String())
	fmt.Fprintf(&b, "func %s() {\n", entry)
	for _, e := range w.entries {
		fmt.Fprintf(&b, "\t%s\n", e)
	}
	b.WriteString("}\n")
	return b.String()
}

// failAt is an error at a node of a cell.
func (c *cell) failAt(n ast.Node, reason Reason, form string, args ...any) error {
	line, cell := 1, c.number
	if src, off := c.record.Places.Find(n.Pos()); src != nil {
		line += strings.Count(string(src.Text[:off]), "\n")
		fmt.Sscanf(src.Name, "cell %d", &cell)
	}
	return &place{cell, line, &Refusal{reason, fmt.Sprintf(form, args...)}}
}
