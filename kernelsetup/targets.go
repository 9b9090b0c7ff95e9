package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// A target is where the output of one notebook goes.
type target struct{ notebook, path string }

// A plan says where everything goes that one call writes.
type plan struct {
	targets []target
	// folder holds all outputs; empty where they stand beside their notebooks
	// or there is one file alone.
	folder string
	// index is the path of the index, empty for none.
	index string
	// notes tell what a person would not expect.
	notes []string
}

// plan decides where the outputs go: beside the notebooks where out is empty;
// into a folder where there are several notebooks, or out is a folder or ends
// in a separator; else into the file out. No two outputs share a file, however
// the file system takes upper and lower case. It looks at the disk and changes
// nothing. The error is a *wrongUse where an output would replace a notebook
// of the call, else it lists the files that are not ours to replace.
func (k outputKind) plan(out string, notebooks []string) (*plan, error) {
	p := new(plan)
	var given []string
	seen := map[string]bool{}
	for _, n := range notebooks {
		if id := location(n); seen[id] {
			p.notes = append(p.notes, n+" is named twice; it is taken once")
		} else {
			seen[id] = true
			given = append(given, n)
		}
	}
	if k.inFolder != notebookExt && len(notebooks) == 1 && filepath.Ext(out) == notebookExt && !isFolder(out) {
		return nil, &wrongUse{fmt.Sprintf("-o %s has the name of a notebook; call it NAME%s", out, k.inFolder)}
	}
	inFolder := out != "" && (len(notebooks) > 1 || endsInSeparator(out) || isFolder(out))
	switch {
	case out == "":
		p.spread(given, func(n string) string {
			return filepath.Join(filepath.Dir(n), baseName(n)+k.beside)
		}, "")
	case !inFolder:
		p.targets = []target{{given[0], out}}
	default:
		p.folder = filepath.Clean(out)
		if info, err := os.Stat(p.folder); err == nil && !info.IsDir() {
			return nil, fmt.Errorf("%s is a file, and a folder is needed; choose another -o", p.folder)
		}
		if len(given) > 1 && k.index != "" {
			p.index = filepath.Join(p.folder, k.index)
		}
		p.spread(given, func(n string) string { return filepath.Join(p.folder, baseName(n)+k.inFolder) }, p.index)
	}
	return p, k.check(p)
}

// spread gives each notebook the path it wants; where that is taken, a free
// one that no other notebook wants. reserved is taken from the beginning.
func (p *plan) spread(notebooks []string, want func(notebook string) string, reserved string) {
	wanted, owner := map[string]bool{}, map[string]string{}
	for _, n := range notebooks {
		wanted[identity(want(n))] = true
	}
	if reserved != "" {
		owner[identity(reserved)] = "the index"
	}
	for _, n := range notebooks {
		path := want(n)
		if first, taken := owner[identity(path)]; taken {
			ext := filepath.Ext(path)
			stem := strings.TrimSuffix(path, ext)
			for i := 2; owner[identity(path)] != "" || wanted[identity(path)]; i++ {
				path = fmt.Sprintf("%s-%d%s", stem, i, ext)
			}
			p.notes = append(p.notes, fmt.Sprintf("%s goes to %s, since %s is the place of %s", n, path, want(n), first))
		}
		owner[identity(path)] = n
		p.targets = append(p.targets, target{n, path})
	}
}

// check looks at the files that are there already.
func (k outputKind) check(p *plan) error {
	var refused []error
	for _, t := range p.targets {
		for _, other := range p.targets {
			if identity(t.path) == identity(other.notebook) || sameFile(t.path, other.notebook) {
				return &wrongUse{fmt.Sprintf("%s would replace the notebook %s; choose another -o", t.path, other.notebook)}
			}
		}
		refused = append(refused, k.mayWrite(t.path))
	}
	if p.index != "" {
		refused = append(refused, k.mayWrite(p.index))
	}
	return errors.Join(refused...)
}

const notebookExt = ".ipynb"

func baseName(notebook string) string {
	return strings.TrimSuffix(filepath.Base(notebook), notebookExt)
}

// identity is the same for two paths that may name one file: some file systems
// take upper and lower case for one.
func identity(path string) string { return strings.ToLower(location(path)) }

// location is the absolute path with all links to folders followed.
func location(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	if dir, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil {
		path = filepath.Join(dir, filepath.Base(path))
	}
	return path
}

func endsInSeparator(path string) bool {
	return strings.HasSuffix(path, "/") || os.IsPathSeparator(path[len(path)-1])
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

func sameFile(a, b string) bool {
	ia, errA := os.Stat(a)
	ib, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(ia, ib)
}
