package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/tools/go/gcexportdata"
	"golang.org/x/tools/go/packages"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// added is the set of packages that are compiled into one kernel. They are
// read as they will be built: on this platform, and with C where there is a
// compiler.
const added = "added"

var here = platform{runtime.GOOS, runtime.GOARCH, true}

// addPackages writes the files of the added set, and the list of its packages
// to standard output. Beside the packages it takes those whose types they
// mention, so that each type has one home.
func addPackages(paths []string, out, modfile string) error {
	root, err := moduleRoot()
	if err != nil {
		return err
	}
	var minor int
	if _, err := fmt.Sscanf(runtime.Version(), "go1.%d", &minor); err != nil {
		return fmt.Errorf("the Go release %s is not known", runtime.Version())
	}
	release := goRelease{name: fmt.Sprintf("1.%d", minor), toolchain: runtime.Version()}
	g := newGenerator(root, added, "", release)
	g.buildFlags = []string{"-modfile=" + modfile}
	paths, err = g.buildable(paths)
	if err != nil {
		return err
	}
	if g.added, err = g.withMentioned(paths); err != nil {
		return err
	}
	if err := distinct(g.added); err != nil {
		return err
	}
	c, err := g.collect()
	if err != nil {
		return err
	}
	c.release = release
	files, err := merge(added, []*collection{c})
	if err != nil {
		return err
	}
	files["added.go"] = setFile(files["zz_hidden.go"] != nil)
	if err := write(out, files); err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(g.added)
}

// buildable takes patterns apart and leaves out what cannot be imported.
func (g *generator) buildable(patterns []string) ([]string, error) {
	out, err := g.goList(here, append([]string{"-f", `{{if and (ne .Name "main") (or .GoFiles .CgoFiles)}}{{.ImportPath}}{{end}}`}, patterns...)...)
	if err != nil {
		return nil, err
	}
	paths := slices.DeleteFunc(strings.Fields(out), func(p string) bool {
		return !importable(p) || g.known(p)
	})
	if len(paths) == 0 {
		return nil, fmt.Errorf("%s: no package that a cell could import and that the kernel does not have already", strings.Join(patterns, ", "))
	}
	return paths, nil
}

// distinct refuses packages whose tables would have one name.
func distinct(paths []string) error {
	seen := map[string]string{}
	for _, p := range paths {
		if other := seen[identifier(p)]; other != "" {
			return fmt.Errorf("%s and %s cannot be in one kernel: their tables would have the same name", other, p)
		}
		seen[identifier(p)] = p
	}
	return nil
}

// known reports whether every kernel has a package already.
func (g *generator) known(path string) bool {
	common, varying := readArchives(filepath.Join(g.root, "kernelsetup/internal/symbols/std"), g.pinned, here)
	return slices.ContainsFunc(append(varying, common), func(a *packed.Archive) bool {
		return a.Has(path) || a.Has(packed.SourceKey(path))
	})
}

// withMentioned adds the packages whose types the API of others mentions.
func (g *generator) withMentioned(paths []string) ([]string, error) {
	all := slices.Clone(paths)
	for todo := paths; len(todo) > 0; {
		loaded, err := g.load(here, todo, func(string) bool { return false })
		if err != nil {
			return nil, err
		}
		todo = nil
		for _, path := range sortedKeys(loaded) {
			mentioned, err := mentionedBy(loaded[path].Types)
			if err != nil {
				return nil, err
			}
			for _, p := range mentioned {
				if !importable(p) || slices.Contains(all, p) || g.known(p) {
					continue
				}
				all, todo = append(all, p), append(todo, p)
			}
		}
	}
	slices.Sort(all)
	return all, nil
}

func mentionedBy(pkg *types.Package) ([]string, error) {
	var buf bytes.Buffer
	if err := gcexportdata.Write(&buf, nil, pkg); err != nil {
		return nil, err
	}
	read, err := gcexportdata.Read(&buf, token.NewFileSet(), map[string]*types.Package{}, pkg.Path())
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, p := range read.Imports() {
		paths = append(paths, p.Path())
	}
	return paths, nil
}

// unreachable finds the exported generic declarations whose bodies need what
// only compiled code can reach, a variable that is not exported or an internal
// package, and tells of them. They are declared, and fail when called.
func (g *generator) unreachable(pkg *packages.Package) map[string]bool {
	out := map[string]bool{}
	for _, name := range pkg.Types.Scope().Names() {
		if obj := pkg.Types.Scope().Lookup(name); !obj.Exported() || !isGeneric(obj) {
			continue
		}
		if err := g.newSourcer(pkg).followAll(name); err != nil {
			out[name] = true
			fmt.Fprintf(os.Stderr, "%s.%s cannot be called from cells: %v\n", pkg.PkgPath, name, err)
		}
	}
	return out
}

// setFile is the Go file that takes the place of the empty set.
func setFile(hidden bool) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s// Package added holds the tables of packages that were compiled into this kernel.\npackage added\n\nimport (\n\t_ \"embed\"\n\n\t\"%[2]s/packed\"\n\t\"%[2]s/table\"\n)\n\n", header, symbolsPath)
	b.WriteString("//go:embed types.bin\nvar types string\n\n//go:embed docs.bin\nvar docs string\n\n// Set is the tables.\nvar Set = &table.Set{\n\tPackages: packages,\n\tInstances: instances,\n")
	if hidden {
		b.WriteString("\tHidden: hidden,\n")
	}
	b.WriteString("\tTypes: []*packed.Archive{packed.Open(types)},\n\tDocs: []*packed.Archive{packed.Open(docs)},\n}\n")
	return b.Bytes()
}
