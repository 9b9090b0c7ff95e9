package main

import (
	"bufio"
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/tools/go/packages"
)

// A platform is one target of the kernel.
type platform struct {
	os, arch string
	cgo      bool // with C, as far as the machine has it
}

// platforms lists the targets; the first is the reference.
var platforms = []platform{
	{os: "linux", arch: "amd64"}, {os: "linux", arch: "arm64"},
	{os: "darwin", arch: "amd64"}, {os: "darwin", arch: "arm64"},
	{os: "windows", arch: "amd64"}, {os: "windows", arch: "arm64"},
}

func (p platform) environment() []string {
	env := append(os.Environ(), "GOOS="+p.os, "GOARCH="+p.arch, "GOWORK=off", "GO111MODULE=on")
	if p.cgo {
		return env
	}
	return append(env, "CGO_ENABLED=0")
}

// A generator makes the files of one set.
type generator struct {
	root, set, dir string
	own            string // pattern of the project's own packages
	pinned         goRelease
	fset           *token.FileSet
	differing      []string // packages that differ between platforms
	added          []string // packages that the added set is made of
	buildFlags     []string
}

// paths lists the import paths of the set, sorted.
func (g *generator) paths() ([]string, error) {
	switch g.set {
	case "own":
		return g.ownPaths()
	case added:
		return g.added, nil
	}
	data, err := os.ReadFile(filepath.Join(g.root, "kernelsetup/internal/symbols/packages.txt"))
	if err != nil {
		return nil, err
	}
	var take, leave []string
	lines := bufio.NewScanner(bytes.NewReader(data))
	for lines.Scan() {
		line := strings.TrimSpace(lines.Text())
		switch {
		case line == "" || line[0] == '#':
		case line[0] == '!':
			leave = append(leave, line[1:])
		case line[0] == '~':
			g.differing = append(g.differing, line[1:])
		default:
			take = append(take, line)
		}
	}
	listed, err := g.list(platforms[0], take...)
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, p := range listed {
		if importable(p) && !slices.ContainsFunc(leave, func(l string) bool { return matches(l, p) }) {
			paths = append(paths, p)
		}
	}
	return append(paths, nativePath), nil
}

// present returns those of the paths that a platform has.
func (g *generator) present(p platform, paths []string) ([]string, error) {
	var out []string
	for _, path := range paths {
		if slices.Contains(g.differing, path) {
			found, err := g.goList(p, "-e", "-f", "{{if .GoFiles}}{{.ImportPath}}{{end}}", path)
			if err != nil {
				return nil, err
			}
			if strings.TrimSpace(found) == "" {
				continue
			}
		}
		out = append(out, path)
	}
	return out, nil
}

// ownPaths lists the project's packages that build.
func (g *generator) ownPaths() ([]string, error) {
	out, err := g.goList(platforms[0], "-e", "-f", "{{if .GoFiles}}{{.ImportPath}} {{.Name}} {{with .Error}}broken{{end}}{{end}}", modulePath+"/"+g.own)
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, line := range strings.Split(strings.TrimSpace(out), "\n") {
		f := strings.Fields(line)
		if len(f) == 2 && f[1] != "main" && importable(f[0]) {
			paths = append(paths, f[0])
		}
	}
	return paths, nil
}

func (g *generator) list(p platform, patterns ...string) ([]string, error) {
	out, err := g.goList(p, patterns...)
	return strings.Fields(out), err
}

func (g *generator) goList(p platform, args ...string) (string, error) {
	cmd := exec.Command("go", slices.Concat([]string{"list"}, g.buildFlags, args)...)
	cmd.Dir, cmd.Env = g.root, p.environment()
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go list: %w\n%s", err, stderr.String())
	}
	return string(out), nil
}

// importable reports whether a cell may import the path.
func importable(path string) bool {
	for part := range strings.SplitSeq(path, "/") {
		if part == "internal" || part == "vendor" {
			return false
		}
	}
	return path != "unsafe"
}

// matches reports whether an import path is meant by a pattern.
func matches(pattern, path string) bool {
	if prefix, ok := strings.CutSuffix(pattern, "/..."); ok {
		return path == prefix || strings.HasPrefix(path, prefix+"/")
	}
	return pattern == path
}

// load reads packages with their types for a platform. Bodies of functions
// are kept only where keep says so.
func (g *generator) load(p platform, paths []string, keep func(folder string) bool) (map[string]*packages.Package, error) {
	if len(paths) == 0 {
		return nil, nil
	}
	config := &packages.Config{
		Mode: packages.NeedName | packages.NeedFiles | packages.NeedCompiledGoFiles | packages.NeedImports |
			packages.NeedDeps | packages.NeedTypes | packages.NeedSyntax | packages.NeedTypesInfo | packages.NeedTypesSizes,
		Dir:        g.root,
		Env:        p.environment(),
		BuildFlags: g.buildFlags,
		Fset:       g.fset,
		ParseFile: func(fset *token.FileSet, name string, src []byte) (*ast.File, error) {
			file, err := parser.ParseFile(fset, name, src, parser.ParseComments|parser.SkipObjectResolution)
			if file != nil && !keep(filepath.Dir(name)) {
				dropBodies(file)
			}
			return file, err
		},
	}
	loaded, err := packages.Load(config, paths...)
	if err != nil {
		return nil, err
	}
	result := make(map[string]*packages.Package)
	for _, pkg := range loaded {
		if err := firstError(pkg.Errors); err != nil {
			if g.set != "std" {
				fmt.Fprintf(os.Stderr, "generate: left out, does not compile: %s: %v\n", pkg.PkgPath, err)
				continue
			}
			return nil, fmt.Errorf("%s: %w", pkg.PkgPath, err)
		}
		result[pkg.PkgPath] = pkg
	}
	return result, nil
}

// dropBodies replaces function bodies, which types do not depend on, by one
// that needs no return statement.
func dropBodies(file *ast.File) {
	for _, decl := range file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok || f.Body == nil {
			continue
		}
		loop := &ast.ForStmt{For: f.Body.Lbrace, Body: &ast.BlockStmt{Lbrace: f.Body.Lbrace, Rbrace: f.Body.Rbrace}}
		f.Body = &ast.BlockStmt{Lbrace: f.Body.Lbrace, List: []ast.Stmt{loop}, Rbrace: f.Body.Rbrace}
	}
}

// firstError returns the first error that does not come from dropped bodies.
func firstError(errors []packages.Error) error {
	for _, e := range errors {
		if !strings.Contains(e.Msg, "imported") || !strings.Contains(e.Msg, "and not used") {
			return e
		}
	}
	return nil
}
