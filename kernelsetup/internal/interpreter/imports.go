package interpreter

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"reflect"
	"slices"
	"strings"
	"sync"

	"golang.org/x/tools/go/gcexportdata"
	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/modules"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
)

// packages holds what has been imported: compiled packages from the library,
// the user's own from source.
type packages struct {
	lib     precompiled.Library
	fset    *token.FileSet
	dir     string        // the notebook's
	tree    *modules.Tree // nil outside a module
	treeErr error         // why the modules cannot be used
	// place is told of the user's own files, for errors in them.
	place placer

	mu      sync.Mutex
	thrift  thrift
	loading map[string]bool // of the module, to find cycles
	told    map[string]bool // modules of which another version was asked for
	types   map[string]*types.Package
	sources map[string]*checkedSource // packages with bodies
	ssa     map[*types.Package]*ssa.Package
	prog    *ssa.Program
	toInit  []*ssa.Package
	tables  []table // of those in toInit, to be filled before

	building sync.Mutex   // held while ssa builds functions, and while what it looks at changes
	workshop *ssa.Package // an empty one, whose builder builds single functions
}

// checkedSource is a package that was checked from source.
type checkedSource struct {
	pkg   *types.Package
	files []*ast.File
	info  *types.Info
	tree  bool   // of a module
	own   bool   // the user's to change
	dir   string // of a module's
	moved bool   // it is now found in another folder
	stamp string // of own: what its files were

	patterns []string // of //go:embed
	embedded map[*types.Var]any
	plain    []plainTable
}

func newPackages(lib precompiled.Library, place placer, prog *ssa.Program) *packages {
	return &packages{lib: lib, fset: place.Fset, place: place, prog: prog,
		loading: map[string]bool{}, told: map[string]bool{},
		types:   map[string]*types.Package{"unsafe": types.Unsafe},
		sources: map[string]*checkedSource{},
		ssa:     map[*types.Package]*ssa.Package{},
	}
}

// notFoundError is an import of a package that is not there.
type notFoundError struct {
	path  string
	paths []string
}

func (e *notFoundError) Error() string {
	return fmt.Sprintf("package %s is not available in this notebook", e.path)
}

// hint names packages that are there.
func (e *notFoundError) hint() string {
	base := e.path[strings.LastIndex(e.path, "/")+1:]
	var near []string
	for _, p := range e.paths {
		if p[strings.LastIndex(p, "/")+1:] == base {
			near = append(near, p)
		}
	}
	if len(near) == 0 {
		if n := nearest(e.path, e.paths); n != "" {
			near = append(near, n)
		}
	}
	add := "The kernel has the standard library, gonum.org/v1/gonum and gonum.org/v1/plot built in; packages of your own and of others are found when the notebook lies in a module (a folder with go.mod) that holds or requires them."
	if len(near) > 0 {
		return fmt.Sprintf("did you mean \"%s\"? %s", strings.Join(near, `" or "`), add)
	}
	return add
}

// Import implements types.Importer.
func (ps *packages) Import(path string) (*types.Package, error) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	here := ""
	if ps.tree != nil {
		here = ps.tree.Here()
	}
	return ps.getFrom(path, here)
}

// loaded is called when all that a cell or a question about it needs was
// imported and checked.
func (ps *packages) loaded() {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	ps.thrift.end()
}

// missingError is an import that the modules around the notebook lack.
type missingError struct{ why *modules.Error }

func (e *missingError) Error() string {
	return fmt.Sprintf("package %s is not available in this notebook: %s", e.why.Path, e.why.Reason)
}

func (e *missingError) hint() string {
	if e.why.Command == "" {
		return ""
	}
	terminal := fmt.Sprintf("in a terminal: cd %s && %s", e.why.Dir, e.why.Command)
	if strings.HasPrefix(e.why.Command, "go get ") && !strings.Contains(e.why.Command, "&&") {
		return fmt.Sprintf("write the line\n    %s\nabove the import, in the same cell: it fetches the module and changes go.mod; or %s", e.why.Command, terminal)
	}
	return terminal
}

// getFrom is get for a package that may import it.
func (ps *packages) getFrom(path, importer string) (*types.Package, error) {
	if !modules.Visible(path, importer) {
		return nil, &sourceError{path: importer, msg: fmt.Sprintf("use of internal package %s not allowed", path)}
	}
	return ps.get(path)
}

func (ps *packages) get(path string) (*types.Package, error) {
	if p := ps.types[path]; p != nil && p.Complete() {
		return p, nil
	}
	lp := ps.lib.Lookup(path)
	if lp == nil || !lp.Importable() {
		if ps.tree != nil || ps.treeErr != nil {
			return ps.fromModules(path)
		}
		return nil, &notFoundError{path: path, paths: ps.lib.Paths()}
	}
	for _, r := range lp.Requires {
		if _, err := ps.get(r); err != nil {
			return nil, err
		}
	}
	if lp.Source != nil {
		return ps.fromSource(lp)
	}
	data, err := lp.Export()
	if err != nil {
		return nil, err
	}
	return gcexportdata.Read(bytes.NewReader(data), ps.fset, ps.types, path)
}

// fromSource checks a library package that comes as text.
func (ps *packages) fromSource(lp *precompiled.Package) (*types.Package, error) {
	var files []*ast.File
	names := make([]string, 0, len(lp.Source))
	for name := range lp.Source {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		f, err := parser.ParseFile(ps.fset, lp.Path+"/"+name, lp.Source[name], parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	src := &checkedSource{files: files, info: newInfo()}
	conf := types.Config{Importer: importerFunc(ps.get), Sizes: sizes, GoVersion: goVersion}
	pkg, err := conf.Check(lp.Path, ps.fset, files, src.info)
	if err != nil {
		return nil, err
	}
	src.pkg = pkg
	ps.types[lp.Path], ps.sources[lp.Path] = pkg, src
	return pkg, nil
}

// fromModules loads a package from the modules around the notebook.
func (ps *packages) fromModules(path string) (*types.Package, error) {
	mp, err := ps.find(path)
	if err == nil {
		return ps.load(mp)
	}
	e, ok := err.(*modules.Error)
	if !ok {
		return nil, &sourceError{path: path, msg: err.Error()}
	}
	if first, _, _ := strings.Cut(path, "/"); !strings.Contains(first, ".") && !ps.belongs(first) {
		// It looks like the standard library's: rather a slip of the pen.
		return nil, &notFoundError{path: path, paths: ps.lib.Paths()}
	}
	at := *e
	at.Path = path
	return nil, &missingError{&at}
}

// belongs reports whether one of the user's modules has a first word for its
// path, which needs no dot.
func (ps *packages) belongs(first string) bool {
	if ps.tree == nil {
		return false
	}
	for _, m := range ps.tree.Mains() {
		if name, _, _ := strings.Cut(m.Path, "/"); name == first {
			return true
		}
	}
	return false
}

type importerFunc func(string) (*types.Package, error)

func (f importerFunc) Import(path string) (*types.Package, error) { return f(path) }

// create makes the SSA side of a package and of those it imports. What has to
// be initialised is appended to toInit, dependencies first.
func (ps *packages) create(pkg *types.Package) {
	if pkg == types.Unsafe || ps.ssa[pkg] != nil {
		return
	}
	src := ps.sources[pkg.Path()]
	if src == nil || src.pkg != pkg {
		if lp := ps.lib.Lookup(pkg.Path()); lp != nil && lp.Imported != nil {
			lp.Imported()
		}
		ps.ssa[pkg] = ps.prog.CreatePackage(pkg, nil, nil, true)
		return
	}
	ps.ssa[pkg] = nil
	for _, imp := range pkg.Imports() {
		ps.create(imp)
	}
	var literals map[*types.Var]*ast.CompositeLit
	if src.tree {
		lifted := map[*types.Var]bool{}
		for _, t := range src.plain {
			if v, ok := src.info.Defs[t.name].(*types.Var); ok {
				lifted[v] = true
			}
		}
		src.info.InitOrder, literals = splitTables(src.info, lifted)
	}
	p := ps.prog.CreatePackage(pkg, src.files, src.info, true)
	for v, lit := range literals {
		ps.tables = append(ps.tables, table{global: objectsOf(p)[v].(*ssa.Global), literal: lit, info: src.info})
	}
	for _, t := range src.plain {
		if v, ok := src.info.Defs[t.name].(*types.Var); ok {
			ps.tables = append(ps.tables, table{global: objectsOf(p)[v].(*ssa.Global), plain: &t})
		}
	}
	src.plain = nil
	for v, value := range src.embedded {
		if v.Name() != "_" {
			ps.tables = append(ps.tables, table{global: objectsOf(p)[v].(*ssa.Global), embedded: value})
		}
	}
	src.embedded = nil
	ps.ssa[pkg] = p
	// Only what initialises the package is built now, and the rest at its
	// first call: of a large package a cell uses little.
	created := createdIn(p)
	*created = slices.DeleteFunc(*created, func(f *ssa.Function) bool {
		return f.Signature.Recv() != nil || f.Name() != "init" && !strings.HasPrefix(f.Name(), "init#")
	})
	p.Build()
	ps.toInit = append(ps.toInit, p)
}

// lower builds one function of a package from source.
func (ps *packages) lower(fn *ssa.Function) {
	ps.building.Lock()
	defer ps.building.Unlock()
	if len(fn.Blocks) > 0 {
		return
	}
	if ps.workshop == nil {
		ps.workshop = ps.prog.CreatePackage(types.NewPackage("workshop", "workshop"), nil, &types.Info{}, false)
	}
	reopen(ps.workshop)
	*createdIn(ps.workshop) = []*ssa.Function{fn}
	ps.workshop.Build()
}

// method returns the function of a method, which ssa may have to build.
func (ps *packages) method(sel *types.Selection) *ssa.Function {
	ps.building.Lock()
	defer ps.building.Unlock()
	return ps.prog.MethodValue(sel)
}

func newInfo() *types.Info {
	return &types.Info{
		Types:        map[ast.Expr]types.TypeAndValue{},
		Instances:    map[*ast.Ident]types.Instance{},
		Defs:         map[*ast.Ident]types.Object{},
		Uses:         map[*ast.Ident]types.Object{},
		Implicits:    map[ast.Node]types.Object{},
		Selections:   map[*ast.SelectorExpr]*types.Selection{},
		Scopes:       map[ast.Node]*types.Scope{},
		FileVersions: map[*ast.File]string{},
	}
}

const goVersion = "go1.26"

var sizes = types.SizesFor("gc", "amd64")

// linker finds compiled functions, variables and types for the machine.
type linker struct {
	lib precompiled.Library
	ps  *packages
}

func (l linker) Func(pkg, name string) any {
	if p := l.lib.Lookup(pkg); p != nil && p.Func != nil {
		return p.Func(name)
	}
	return nil
}

func (l linker) Var(pkg, name string) any {
	if p := l.lib.Lookup(pkg); p != nil && p.Var != nil {
		return p.Var(name)
	}
	return nil
}

func (l linker) Type(pkg, name string) (reflect.Type, bool) {
	p := l.lib.Lookup(pkg)
	if p == nil || p.FromSource {
		return nil, false
	}
	if p.Type != nil {
		if v := p.Type(name); v != nil {
			return reflect.TypeOf(v).Elem(), true
		}
	}
	// A package known from source is interpreted where Type does not know
	// the name.
	return nil, p.Source == nil
}
