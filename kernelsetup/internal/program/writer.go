package program

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// versionSuffix ends the import paths whose last part is not the package's
// name.
var versionSuffix = regexp.MustCompile(`^v[0-9]+$`)

const notebookPath = "github.com/bonnetbook/bonnetbook/pkg/notebook"

// A writer carries the notebook's live names from cell to cell and collects
// the program.
type writer struct {
	importer types.Importer
	program  *Program

	// names holds every name taken at the program's top level.
	names map[string]bool
	// imports maps the import paths that the program uses to their names in
	// it.
	imports map[string]string
	blank   []string

	// What is live in the notebook.
	importNames map[string]string // name -> path
	dotImports  []string
	groups      []*group
	variables   map[string]*variable
	finals      map[string]string // live name -> name in the program

	// aliases name packages in the text to check.
	aliases map[string]string

	declarations strings.Builder
	entries      []string
	mayFail      bool // the cell at hand may
	// Names of the helpers, once they are needed.
	showOrFail, showOrPanic, tolerate string
}

// A group is the text of one declaration of constants, a type, a function or
// a method.
type group struct {
	kind chunkKind
	text string
	// names are what it declares; "T.M" for a method. dead ones have been
	// declared anew by a later cell.
	names []string
	dead  map[string]bool
	cell  int
	// offset is the place of text in the cell.
	offset int
}

// A variable is a live variable of the notebook.
type variable struct {
	name string
	// typeText is its type in the notebook's names and finalType in the
	// program's.
	typeText, finalType string
}

func newWriter(importer types.Importer) *writer {
	return &writer{
		importer: importer, program: new(Program),
		names:       map[string]bool{"main": true, "init": true, "_": true},
		imports:     make(map[string]string),
		importNames: make(map[string]string),
		variables:   make(map[string]*variable),
		finals:      make(map[string]string),
	}
}

// cell adds a cell to the program.
func (w *writer) cell(number int, source string) error {
	chunks, err := split(source)
	if err != nil {
		return err
	}
	c := &cell{writer: w, number: number, source: source, declared: make(map[string]bool)}
	if err := c.sort(chunks); err != nil {
		return err
	}
	if err := c.check(); err != nil {
		return err
	}
	if err := c.settle(); err != nil {
		return err
	}
	return c.write()
}

// unique returns a name of the program's top level that is not taken yet.
func (w *writer) unique(name string) string {
	free := name
	for i := 2; w.names[free]; i++ {
		free = name + "_" + strconv.Itoa(i)
	}
	w.names[free] = true
	return free
}

// importName returns the program's name of a package: the one it was first
// called by, where that is free.
func (w *writer) importName(p *types.Package, called string) string {
	if w.imports[p.Path()] == "" {
		w.imports[p.Path()] = w.unique(called)
	}
	return w.imports[p.Path()]
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
		fmt.Fprintf(&b, "\t_ %q\n", path)
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

// parseNames returns the names that a declaration chunk declares.
func parseNames(kind chunkKind, text string) ([]string, error) {
	file, err := parser.ParseFile(token.NewFileSet(), "", "package p;"+text, parser.SkipObjectResolution)
	if err != nil {
		return nil, syntaxError(err)
	}
	var names []string
	for _, decl := range file.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			name := decl.Name.Name
			if kind == methodDecl && len(decl.Recv.List) == 1 {
				name = receiver(decl.Recv.List[0].Type) + "." + name
			}
			names = append(names, name)
		case *ast.GenDecl:
			for _, spec := range decl.Specs {
				switch spec := spec.(type) {
				case *ast.ValueSpec:
					for _, n := range spec.Names {
						names = append(names, n.Name)
					}
				case *ast.TypeSpec:
					names = append(names, spec.Name.Name)
				}
			}
		}
	}
	return names, nil
}

// receiver returns the type name of a method's receiver.
func receiver(expr ast.Expr) string {
	switch t := expr.(type) {
	case *ast.Ident:
		return t.Name
	case *ast.StarExpr:
		return receiver(t.X)
	case *ast.ParenExpr:
		return receiver(t.X)
	case *ast.IndexExpr:
		return receiver(t.X)
	case *ast.IndexListExpr:
		return receiver(t.X)
	}
	return ""
}
