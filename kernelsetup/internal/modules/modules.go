// Package modules finds the source of an import as the go command would, from
// the files that are there: vendor, workspaces, replacements and the module
// cache. It needs no toolchain and never asks the network.
package modules

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/mod/modfile"
	"golang.org/x/mod/module"
)

// Module is one module of a build.
type Module struct {
	// Path and Version are what the build list names; the version is empty
	// for a main module.
	Path, Version string
	// Dir is where its files are; with Vendored they are those of its
	// packages alone, below vendor.
	Dir string
	// Go is the language version of its go.mod, "1.16" where it names none.
	Go string
	// Own tells that its files are the user's to change: a main module, or
	// one that a replacement takes from a folder.
	Own      bool
	Vendored bool
}

// Name is how messages call the module.
func (m *Module) Name() string {
	if m.Version == "" {
		return m.Path
	}
	return m.Path + "@" + m.Version
}

// Package is a package with source.
type Package struct {
	Path, Dir string
	Module    *Module
}

// Tree is the modules around one folder. It is not safe for concurrent use.
type Tree struct {
	env   environment
	here  string // the import path of the folder that was asked for
	root  string // where go.work or go.mod lies
	mains []*Module
	files []*modfile.File // their go.mod files
	work  *modfile.WorkFile

	vendor map[string]*Module // by package, nil without vendor
	chosen map[string]string  // versions, nil before the graph is read
	absent []module.Version   // modules without a go.mod in the cache
	known  map[string]*Module

	dir   string // that was asked for
	stamp string // what its files were
}

// Error is an import that the modules cannot serve.
type Error struct {
	Path string
	// Reason says why, Command what would help, for a shell in Dir; empty
	// where nothing is known.
	Reason, Command, Dir string
}

func (e *Error) Error() string { return e.Reason }

// Open reads the module around dir. It returns nil without an error where
// there is none, and an error for a go.mod, go.work or vendor/modules.txt that
// cannot be read or contradicts the others.
func Open(dir string) (*Tree, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	root := upwards(dir, "go.mod")
	if root == "" {
		return nil, nil
	}
	t := &Tree{env: readEnvironment(), root: root, known: map[string]*Module{}, dir: dir}
	main, err := t.addMain(root)
	if err != nil {
		return nil, err
	}
	t.here = main.Path
	if rel, err := filepath.Rel(root, dir); err == nil && rel != "." {
		t.here += "/" + filepath.ToSlash(rel)
	}
	if err := t.openWork(dir); err != nil {
		return nil, err
	}
	t.stamp = t.stampNow()
	return t, t.openVendor()
}

// Stale reports whether the tree would be another one if it were opened now.
func (t *Tree) Stale() bool { return len(t.absent) > 0 || t.stamp != t.stampNow() }

// stampNow is a text that changes when one of the files that say what the
// tree is made of is changed, comes or goes.
func (t *Tree) stampNow() string {
	names := []string{filepath.Join(t.root, "vendor", "modules.txt"), t.env.get("GOWORK"), filepath.Join(upwards(t.dir, "go.work"), "go.work"),
		filepath.Join(upwards(t.dir, "go.mod"), "go.mod")}
	for _, m := range t.mains {
		names = append(names, filepath.Join(m.Dir, "go.mod"))
	}
	var b strings.Builder
	for _, name := range names {
		fmt.Fprint(&b, name)
		if info, err := os.Stat(name); err == nil {
			fmt.Fprint(&b, " ", info.Size(), " ", info.ModTime().UnixNano())
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// upwards returns the nearest folder from dir up that holds a file, or "".
func upwards(dir, name string) string {
	for {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil && !info.IsDir() {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			return ""
		}
		dir = up
	}
}

func (t *Tree) addMain(dir string) (*Module, error) {
	f, err := readModFile(filepath.Join(dir, "go.mod"))
	if err != nil {
		return nil, err
	}
	if f.Module == nil {
		return nil, fmt.Errorf("%s names no module", filepath.Join(dir, "go.mod"))
	}
	m := &Module{Path: f.Module.Mod.Path, Dir: dir, Go: goOf(f), Own: true}
	t.mains, t.files = append(t.mains, m), append(t.files, f)
	return m, nil
}

func readModFile(name string) (*modfile.File, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return modfile.Parse(name, data, nil)
}

func goOf(f *modfile.File) string {
	if f.Go == nil {
		return "1.16"
	}
	return f.Go.Version
}

// openWork reads go.work, where there is one that uses the main module.
func (t *Tree) openWork(dir string) error {
	name := t.env.get("GOWORK")
	if name == "off" {
		return nil
	}
	if name == "" {
		at := upwards(dir, "go.work")
		if at == "" {
			return nil
		}
		name = filepath.Join(at, "go.work")
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if t.work, err = modfile.ParseWork(name, data, nil); err != nil {
		return err
	}
	main, found := t.mains[0].Dir, false
	for _, u := range t.work.Use {
		used := filepath.FromSlash(u.Path)
		if !filepath.IsAbs(used) {
			used = filepath.Join(filepath.Dir(name), used)
		}
		if real, err := filepath.EvalSymlinks(used); err == nil {
			used = real
		}
		if used == main {
			found = true
			continue
		}
		if _, err := t.addMain(used); err != nil {
			return err
		}
	}
	if !found {
		return &Error{Reason: fmt.Sprintf("the module in %s is not one of the workspace's: %s does not use it", main, name),
			Command: "go work use .", Dir: main}
	}
	t.root = filepath.Dir(name)
	return nil
}

// Mains lists the main modules, the folder's own first.
func (t *Tree) Mains() []*Module { return t.mains }

// Here is the import path that the folder would have as a package.
func (t *Tree) Here() string { return t.here }

// Tags are the build tags that the user's settings ask for.
func (t *Tree) Tags() []string { return t.env.tags() }

// Find returns the package of an import path; the error is an *Error.
func (t *Tree) Find(path string) (*Package, error) {
	for _, m := range t.mains {
		if dir, ok := m.folder(path); ok && holdsGo(dir) {
			return &Package{path, dir, m}, nil
		}
	}
	if t.vendor != nil {
		return t.findVendored(path)
	}
	// The requirements of the main module come first: since Go 1.17 they are
	// complete, and no other go.mod need be read.
	if t.complete() {
		p, err := t.among(path, t.roots())
		if p != nil || err != nil {
			return p, err
		}
	}
	t.readGraph()
	p, err := t.among(path, t.chosen)
	if p != nil || err != nil {
		return p, err
	}
	return nil, t.missing(path)
}

// Required returns the module that go.mod asks for where a package would be
// looked for first, PATH@VERSION, or what it is replaced by; empty for a
// package of the main modules and where none is required.
func (t *Tree) Required(path string) string {
	roots := t.roots()
	for p := path; p != ""; p = parent(p) {
		if t.isMain(p) {
			return ""
		}
		if v := roots[p]; v != "" {
			m := module.Version{Path: p, Version: v}
			if to, _, ok := t.replacement(m); ok {
				m = to
			}
			return strings.TrimSuffix(m.String(), "@")
		}
	}
	return ""
}

// among looks for a package in modules of a build list.
func (t *Tree) among(path string, versions map[string]string) (*Package, error) {
	var found []*Package
	var wanting *Error
	for prefix := path; prefix != ""; prefix = parent(prefix) {
		version, ok := versions[prefix]
		if !ok || t.isMain(prefix) {
			continue
		}
		m, err := t.open(module.Version{Path: prefix, Version: version})
		if err != nil {
			if wanting == nil {
				wanting = err
			}
			continue
		}
		if dir, ok := m.folder(path); ok && holdsGo(dir) {
			found = append(found, &Package{path, dir, m})
		}
	}
	switch {
	case len(found) > 1:
		return nil, &Error{Path: path, Reason: fmt.Sprintf("ambiguous import: package %s is in module %s and in module %s",
			path, found[0].Module.Name(), found[1].Module.Name())}
	case len(found) == 1:
		return found[0], nil
	case wanting != nil:
		wanting.Path = path
		return nil, wanting
	}
	return nil, nil
}

func parent(path string) string {
	i := strings.LastIndexByte(path, '/')
	if i < 0 {
		return ""
	}
	return path[:i]
}

func (t *Tree) isMain(path string) bool {
	return slices.ContainsFunc(t.mains, func(m *Module) bool { return m.Path == path })
}

// missing words that no module has a package.
func (t *Tree) missing(path string) *Error {
	for _, m := range t.mains {
		if path == m.Path || strings.HasPrefix(path, m.Path+"/") {
			return &Error{Path: path, Reason: fmt.Sprintf("package %s is not in this module: %s holds no Go files", path, m.at(path)), Dir: m.Dir}
		}
	}
	e := &Error{Path: path, Command: "go get " + path, Dir: t.mains[0].Dir,
		Reason: fmt.Sprintf("no module that go.mod requires has package %s", path)}
	if len(t.absent) > 0 {
		e.Reason += fmt.Sprintf("; the go.mod of %s, and perhaps of others, is not in the module cache", t.absent[0])
	}
	return e
}

// at is where a package of the module would lie.
func (m *Module) at(path string) string {
	if m.Vendored {
		return filepath.Join(m.Dir, filepath.FromSlash(path))
	}
	return filepath.Join(m.Dir, filepath.FromSlash(strings.TrimPrefix(path, m.Path)))
}

// folder returns a package's folder, unless another module begins on the way.
func (m *Module) folder(path string) (string, bool) {
	if path != m.Path && !strings.HasPrefix(path, m.Path+"/") {
		return "", false
	}
	dir := m.at(path)
	if m.Vendored {
		return dir, true
	}
	for d := dir; len(d) > len(m.Dir); d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, "go.mod")); err == nil {
			return "", false
		}
	}
	return dir, true
}

func holdsGo(dir string) bool {
	entries, err := os.ReadDir(dir)
	return err == nil && slices.ContainsFunc(entries, func(e os.DirEntry) bool {
		return !e.IsDir() && strings.HasSuffix(e.Name(), ".go") && !strings.HasSuffix(e.Name(), "_test.go")
	})
}

// Visible reports whether a package may be imported by another under Go's
// rule for folders named internal.
func Visible(path, importer string) bool {
	elems := strings.Split(path, "/")
	for i := len(elems) - 1; i >= 0; i-- {
		if elems[i] == "internal" {
			above := strings.Join(elems[:i], "/")
			return above == "" || importer == above || strings.HasPrefix(importer, above+"/")
		}
	}
	return true
}
