// Generate writes the symbol tables, the type data, the source text of
// generic packages and the doc index of every package that cells can import.
//
//	go run ./kernelsetup/internal/symbols/generate            # everything
//	go run ./kernelsetup/internal/symbols/generate -set own   # the project's own packages
//	go run ./kernelsetup/internal/symbols/generate -check     # compare, write nothing
//	go run ./kernelsetup/internal/symbols/generate -add example.com/a,example.com/b -out DIR -modfile FILE
//
// The last is what "bonnetbook build-kernel" does: tables for this platform and
// this Go release alone, at the versions of the go.mod that FILE is.
//
// What the standard library says is asked of one toolchain for each Go release
// of go-releases.txt; whichever runs this program, the files are the same.
// Run it from the module's root, or through go generate.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

const (
	modulePath  = "github.com/bonnetbook/bonnetbook"
	symbolsPath = modulePath + "/kernelsetup/internal/symbols"
	nativePath  = symbolsPath + "/native"
)

func main() {
	set := flag.String("set", "all", "what to generate: std (with gonum), own, or all")
	own := flag.String("own", "pkg/...", "pattern of the project's own packages")
	check := flag.Bool("check", false, "compare with the files that are there; fail where they differ")
	collect := flag.String("collect", "", "write what the toolchain in use says to this file, for a run of another one")
	add := flag.String("add", "", "write tables of these packages, separated by commas, into the folder of -out")
	out := flag.String("out", "", "the folder for -add")
	modfile := flag.String("modfile", "go.mod", "go.mod for -add")
	flag.Parse()
	if *add != "" {
		if err := addPackages(strings.Split(*add, ","), *out, *modfile); err != nil {
			fmt.Fprintln(os.Stderr, "generate:", err)
			os.Exit(1)
		}
		return
	}
	if err := run(*set, *own, *collect, *check); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

func run(set, own, collect string, check bool) error {
	root, err := moduleRoot()
	if err != nil {
		return err
	}
	list, err := readReleases(root)
	if err != nil {
		return err
	}
	for _, name := range []string{"std", "own"} {
		if set != "all" && set != name {
			continue
		}
		g := newGenerator(root, name, own, list[0])
		if collect != "" {
			return writeCollection(g, collect)
		}
		files, err := g.files(list)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if check {
			err = compare(g.dir, files)
		} else {
			err = write(g.dir, files)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func newGenerator(root, set, own string, pinned goRelease) *generator {
	return &generator{root: root, set: set, own: own, pinned: pinned, fset: token.NewFileSet(), dir: filepath.Join(root, "kernelsetup/internal/symbols", set)}
}

// moduleRoot finds the folder of go.mod above the working folder.
func moduleRoot() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir, nil
		}
		if dir == filepath.Dir(dir) {
			return "", fmt.Errorf("no go.mod here or above; run from the module")
		}
		dir = filepath.Dir(dir)
	}
}

// generated lists the files of dir that an earlier run wrote.
func generated(dir string) ([]string, error) {
	var names []string
	for _, pattern := range []string{"zz_*.go", "*.bin"} {
		found, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			names = append(names, filepath.Base(f))
		}
	}
	return names, nil
}

func write(dir string, files map[string][]byte) error {
	old, err := generated(dir)
	if err != nil {
		return err
	}
	for _, name := range old {
		if _, ok := files[name]; !ok {
			if err := os.Remove(filepath.Join(dir, name)); err != nil {
				return err
			}
		}
	}
	for name, data := range files {
		path := filepath.Join(dir, name)
		if have, err := os.ReadFile(path); err == nil && bytes.Equal(have, data) {
			continue
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// compare reports the files that differ from what would be written.
func compare(dir string, files map[string][]byte) error {
	var stale []string
	old, err := generated(dir)
	if err != nil {
		return err
	}
	for _, name := range old {
		if _, ok := files[name]; !ok {
			stale = append(stale, name+" (should not be there)")
		}
	}
	for name, data := range files {
		have, err := os.ReadFile(filepath.Join(dir, name))
		switch {
		case err != nil:
			stale = append(stale, name+" (missing)")
		case !bytes.Equal(have, data):
			stale = append(stale, name)
		}
	}
	if len(stale) > 0 {
		slices.Sort(stale)
		return fmt.Errorf("%s is stale: %s; run: go generate ./kernelsetup/internal/symbols", dir, strings.Join(stale, ", "))
	}
	return nil
}
