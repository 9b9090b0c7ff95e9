package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/format"
	"go/parser"
	"go/printer"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/tools/go/packages"
)

// A sourcer writes a package as text in which generic code has bodies and
// everything compiled has none. It starts from the exported declarations and
// follows what these, and the bodies that are kept, mention.
type sourcer struct {
	pkg  *packages.Package
	fset *token.FileSet
	// decls and methods find declarations by "Name" and "Type.method".
	decls   map[string]declared
	methods map[string][]string
	// replaced holds what a shim declares instead.
	replaced map[string]bool
	shim     *ast.File
	shimText []byte

	kept   map[string]bool // declarations to write
	bodied map[string]bool // functions and methods to write with body
	queue  []string
	files  map[*ast.File]*sourceFile
	errors []string
	// without are generic declarations that get no bodies.
	without map[string]bool
}

// declared is where a name is declared.
type declared struct {
	file *ast.File
	node ast.Node // *ast.FuncDecl, *ast.TypeSpec or *ast.ValueSpec
}

// source returns pairs of file name and text, and the paths imported.
func (g *generator) source(pkg *packages.Package) (flat, imports []string, err error) {
	without := map[string]bool{}
	if g.set == added {
		without = g.unreachable(pkg)
	}
	s := g.newSourcer(pkg)
	s.without = without
	if err := s.readShim(filepath.Join(g.root, "kernelsetup/internal/symbols/generate/shims")); err != nil {
		return nil, nil, err
	}
	if err := s.followAll(pkg.Types.Scope().Names()...); err != nil {
		return nil, nil, err
	}
	return s.write()
}

func (g *generator) newSourcer(pkg *packages.Package) *sourcer {
	s := &sourcer{
		pkg: pkg, fset: g.fset,
		decls: make(map[string]declared), methods: make(map[string][]string), replaced: make(map[string]bool),
		kept: make(map[string]bool), bodied: make(map[string]bool), files: make(map[*ast.File]*sourceFile),
	}
	for _, file := range pkg.Syntax {
		s.index(file)
	}
	return s
}

// followAll asks for exported declarations and for what these mention. It
// fails where a body that is kept needs what only compiled code reaches.
func (s *sourcer) followAll(names ...string) error {
	for _, name := range names {
		if ast.IsExported(name) {
			s.need(name)
		}
	}
	for len(s.queue) > 0 {
		next := s.queue[0]
		s.queue = s.queue[1:]
		s.follow(next)
	}
	if len(s.errors) > 0 {
		slices.Sort(s.errors)
		return fmt.Errorf("generic code needs a shim: %s", strings.Join(slices.Compact(s.errors), "; "))
	}
	return nil
}

// genericMethod reports whether a method has type parameters of its own. Cells
// are Go 1.26 whichever release the kernel is built with, so that a notebook
// means the same everywhere; this came with Go 1.27.
func genericMethod(decl *ast.FuncDecl) bool {
	return decl.Recv != nil && decl.Type.TypeParams != nil
}

func (s *sourcer) index(file *ast.File) {
	for _, decl := range file.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			name := decl.Name.Name
			if genericMethod(decl) {
				continue
			}
			if decl.Recv != nil {
				t := receiverName(decl.Recv.List[0].Type)
				name = t + "." + name
				s.methods[t] = append(s.methods[t], name)
			} else if name == "init" {
				continue
			}
			if !strings.HasSuffix(name, "_") || decl.Name.Name != "_" {
				s.decls[name] = declared{file, decl}
			}
		case *ast.GenDecl:
			for _, spec := range decl.Specs {
				switch spec := spec.(type) {
				case *ast.TypeSpec:
					s.decls[spec.Name.Name] = declared{file, spec}
				case *ast.ValueSpec:
					for _, n := range spec.Names {
						s.decls[n.Name] = declared{file, spec}
					}
				}
			}
		}
	}
}

// readShim reads the hand-written file that replaces declarations, where
// there is one.
func (s *sourcer) readShim(folder string) error {
	name := filepath.Join(folder, strings.ReplaceAll(s.pkg.PkgPath, "/", "_")+".go")
	text, err := os.ReadFile(name)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return err
	}
	_, text, _ = bytes.Cut(text, []byte("//go:build ignore\n\n"))
	s.shimText = text
	s.shim, err = parser.ParseFile(s.fset, name, text, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	for _, decl := range s.shim.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			if decl.Recv == nil {
				s.replaced[decl.Name.Name] = true
			}
		case *ast.GenDecl:
			for _, spec := range decl.Specs {
				if t, ok := spec.(*ast.TypeSpec); ok {
					s.replaced[t.Name.Name] = true
				}
			}
		}
	}
	ast.Inspect(s.shim, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok && s.pkg.Types.Scope().Lookup(id.Name) != nil {
			s.need(id.Name)
		}
		return true
	})
	return nil
}

// need asks for a package-level declaration.
func (s *sourcer) need(name string) {
	if name == "_" || s.kept[name] || s.replaced[name] {
		return
	}
	if _, ok := s.decls[name]; !ok {
		return
	}
	s.kept[name] = true
	s.queue = append(s.queue, name)
	obj := s.pkg.Types.Scope().Lookup(name)
	if f, ok := obj.(*types.Func); ok && (isGeneric(f) && !s.without[name] || !f.Exported()) {
		s.bodied[name] = true
	}
	if t, ok := obj.(*types.TypeName); ok {
		for _, m := range s.methods[name] {
			s.kept[m] = true
			if isGeneric(t) && !s.without[name] {
				s.bodied[m] = true
			}
			s.queue = append(s.queue, m)
		}
	}
}

// needBody asks for the body of a method, which otherwise stays compiled.
func (s *sourcer) needBody(method string) {
	if _, ok := s.decls[method]; ok && !s.bodied[method] {
		s.bodied[method] = true
		s.queue = append(s.queue, method)
	}
}

// follow asks for everything that a declaration mentions.
func (s *sourcer) follow(name string) {
	d := s.decls[name]
	switch node := d.node.(type) {
	case *ast.FuncDecl:
		if s.bodied[name] {
			s.mentions(node, name)
			return
		}
		s.replaceHidden(node.Type)
		s.mentions(node.Type, "")
		if node.Recv != nil {
			s.mentions(node.Recv, "")
		}
	case *ast.TypeSpec:
		s.replaceHidden(node)
		s.mentions(node, "")
	case *ast.ValueSpec:
		obj := s.pkg.Types.Scope().Lookup(name)
		s.needTypes(obj.Type())
		if _, ok := obj.(*types.Var); ok && !obj.Exported() {
			// The text would have a variable of its own beside the compiled
			// one.
			s.errors = append(s.errors, "it uses the variable "+name)
		}
	}
}

// needTypes asks for the package's own types that a type mentions.
func (s *sourcer) needTypes(t types.Type) {
	types.TypeString(t, func(*types.Package) string { return "" })
	switch t := t.(type) {
	case *types.Named:
		if t.Obj().Pkg() == s.pkg.Types {
			s.need(t.Obj().Name())
		}
		for a := range t.TypeArgs().Types() {
			s.needTypes(a)
		}
	case interface{ Elem() types.Type }:
		s.needTypes(t.Elem())
		if m, ok := t.(*types.Map); ok {
			s.needTypes(m.Key())
		}
	case *types.Signature:
		for _, tuple := range []*types.Tuple{t.Params(), t.Results()} {
			for v := range tuple.Variables() {
				s.needTypes(v.Type())
			}
		}
	}
}

// mentions asks for what a node mentions. Where the node is code that will
// be executed, code names it for error messages.
func (s *sourcer) mentions(node ast.Node, code string) {
	ast.Inspect(node, func(n ast.Node) bool {
		id, ok := n.(*ast.Ident)
		if !ok {
			return true
		}
		switch obj := s.pkg.TypesInfo.Uses[id].(type) {
		case nil:
		case *types.PkgName:
			if path := obj.Imported().Path(); code != "" && !importable(path) {
				s.errors = append(s.errors, code+" uses "+path)
			}
		case *types.Func:
			if recv := obj.Signature().Recv(); recv != nil {
				s.method(obj, code)
			} else if obj.Pkg() == s.pkg.Types {
				s.need(obj.Name())
			}
		default:
			if obj.Pkg() == s.pkg.Types && obj.Parent() == s.pkg.Types.Scope() {
				s.need(obj.Name())
			}
		}
		return true
	})
}

// method asks for the body of a method that compiled code cannot be asked
// for.
func (s *sourcer) method(f *types.Func, code string) {
	if f.Pkg() != s.pkg.Types || code == "" {
		return
	}
	t := f.Signature().Recv().Type()
	if p, ok := t.(*types.Pointer); ok {
		t = p.Elem()
	}
	named, ok := t.(*types.Named)
	if ok && !types.IsInterface(named) {
		if !f.Exported() || !named.Obj().Exported() {
			s.needBody(named.Obj().Name() + "." + f.Name())
		}
		return
	}
	if !f.Exported() { // through an interface: any type's method may be meant
		for name := range s.decls {
			if strings.HasSuffix(name, "."+f.Name()) {
				s.needBody(name)
			}
		}
	}
}

// write prints the kept declarations, one file per file of the package.
func (s *sourcer) write() (flat, imports []string, err error) {
	all := make(map[string]bool)
	for _, file := range s.pkg.Syntax {
		out := &sourceFile{sourcer: s, file: file, imports: make(map[string]string)}
		text, err := out.text()
		if err != nil {
			return nil, nil, err
		}
		if text == "" {
			continue
		}
		flat = append(flat, filepath.Base(s.fset.File(file.Package).Name()), text)
		for path := range out.imports {
			all[path] = true
		}
	}
	if s.shim != nil {
		flat = append(flat, "shim.go", string(s.shimText))
		for _, spec := range s.shim.Imports {
			all[strings.Trim(spec.Path.Value, `"`)] = true
		}
	}
	return flat, sortedKeys(all), nil
}

// sourceFile prints one file.
type sourceFile struct {
	*sourcer
	file    *ast.File
	imports map[string]string // path -> name in this file
}

func (f *sourceFile) text() (string, error) {
	var body bytes.Buffer
	for _, decl := range f.file.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			f.function(&body, decl)
		case *ast.GenDecl:
			for _, spec := range decl.Specs {
				switch spec := spec.(type) {
				case *ast.TypeSpec:
					if f.kept[spec.Name.Name] && f.decls[spec.Name.Name].node == spec {
						bare := *spec
						bare.Doc, bare.Comment = nil, nil
						f.print(&body, "type ", &bare)
					}
				case *ast.ValueSpec:
					f.values(&body, spec)
				}
			}
		}
	}
	if body.Len() == 0 {
		return "", nil
	}
	var head bytes.Buffer
	fmt.Fprintf(&head, "package %s\n\n", f.pkg.Name)
	for _, path := range sortedKeys(f.imports) {
		fmt.Fprintf(&head, "import %s %q\n", f.imports[path], path)
	}
	head.Write(body.Bytes())
	text, err := format.Source(head.Bytes())
	return string(text), err
}

func (f *sourceFile) function(b *bytes.Buffer, decl *ast.FuncDecl) {
	name := decl.Name.Name
	if decl.Recv != nil {
		name = receiverName(decl.Recv.List[0].Type) + "." + name
	}
	if !f.kept[name] || f.decls[name].node != decl {
		return
	}
	bare := *decl
	bare.Doc = nil
	if !f.bodied[name] {
		bare.Body = nil
	}
	f.print(b, "", &bare)
}

func (f *sourceFile) values(b *bytes.Buffer, spec *ast.ValueSpec) {
	whole := false
	for _, n := range spec.Names {
		if !f.kept[n.Name] || f.decls[n.Name].node != spec {
			continue
		}
		switch obj := f.pkg.Types.Scope().Lookup(n.Name).(type) {
		case *types.Const:
			fmt.Fprintf(b, "const %s %s = %s\n", obj.Name(), f.typeName(obj.Type()), literal(obj))
		case *types.Var:
			if obj.Exported() {
				fmt.Fprintf(b, "var %s %s\n", obj.Name(), f.typeName(obj.Type()))
			} else {
				whole = true
			}
		}
	}
	if whole {
		bare := *spec
		bare.Doc, bare.Comment = nil, nil
		f.print(b, "var ", &bare)
	}
}

// typeName writes a type as the file says it; nothing for untyped ones.
func (f *sourceFile) typeName(t types.Type) string {
	if b, ok := t.(*types.Basic); ok && b.Info()&types.IsUntyped != 0 {
		return ""
	}
	return types.TypeString(t, func(p *types.Package) string {
		if p == f.pkg.Types {
			return ""
		}
		if f.imports[p.Path()] == "" {
			f.imports[p.Path()] = p.Name()
		}
		return f.imports[p.Path()]
	})
}

// print writes a node without comments and notes the imports it uses.
func (f *sourceFile) print(b *bytes.Buffer, before string, node ast.Node) {
	ast.Inspect(node, func(n ast.Node) bool {
		if field, ok := n.(*ast.Field); ok {
			field.Doc, field.Comment = nil, nil
		}
		if id, ok := n.(*ast.Ident); ok {
			if p, ok := f.pkg.TypesInfo.Uses[id].(*types.PkgName); ok {
				f.imports[p.Imported().Path()] = p.Name()
			}
		}
		return true
	})
	b.WriteString(before)
	if err := printer.Fprint(b, f.fset, node); err != nil {
		f.errors = append(f.errors, err.Error())
	}
	b.WriteString("\n")
}
