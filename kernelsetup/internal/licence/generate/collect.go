package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/licence"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// module is one that has packages in the program.
type module struct {
	path, version, dir string
	// folders and files are what is compiled, on any system.
	folders, files map[string]bool
}

// listed is what is asked of "go list".
type listed struct {
	Dir             string
	Standard        bool
	GoFiles, SFiles []string
	Module          *struct {
		Path, Version, Dir string
		Replace            *struct{ Path, Version, Dir string }
	}
}

// collect returns the entries of the archive, for a program built for systems.
func collect(root string, systems []string) ([]packed.Entry, error) {
	modules := map[string]*module{}
	for _, s := range systems {
		if err := list(root, s, modules); err != nil {
			return nil, err
		}
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	dir := strings.TrimSpace(string(goroot))
	// Its licence and patent grant hold for the modules that it brings along, too.
	modules[licence.Go] = &module{path: licence.Go, dir: dir, folders: map[string]bool{dir: true}}
	var entries []packed.Entry
	var failed []error
	for _, path := range slices.Sorted(maps.Keys(modules)) {
		e, err := modules[path].entry()
		entries, failed = append(entries, e), append(failed, err)
	}
	return entries, errors.Join(failed...)
}

// list adds the modules of the program for one system.
func list(root, system string, modules map[string]*module) error {
	goos, goarch, _ := strings.Cut(system, "/")
	cmd := exec.Command("go", "list", "-deps", "-json=Dir,Standard,GoFiles,SFiles,Module", "./kernelsetup")
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0", "GOPROXY=off")
	var said strings.Builder
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		return fmt.Errorf("packages for %s: %w\n%s(\"go mod download\" fetches what is missing)", system, err, said.String())
	}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); err == io.EOF {
			return nil
		} else if err != nil {
			return fmt.Errorf("packages for %s: %w", system, err)
		}
		if p.Standard || p.Module == nil {
			continue
		}
		m := modules[p.Module.Path]
		if m == nil {
			m = &module{path: p.Module.Path, version: p.Module.Version, dir: p.Module.Dir, folders: map[string]bool{}, files: map[string]bool{}}
			if r := p.Module.Replace; r != nil {
				m.version, m.dir = r.Version, r.Dir
			}
			modules[m.path] = m
		}
		for dir := p.Dir; strings.HasPrefix(dir, m.dir); dir = filepath.Dir(dir) {
			m.folders[dir] = true
		}
		for _, f := range append(p.GoFiles, p.SFiles...) {
			m.files[filepath.Join(p.Dir, f)] = true
		}
	}
}
