package modules

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// openVendor reads vendor/modules.txt where the go command would use it.
func (t *Tree) openVendor() error {
	dir := filepath.Join(t.root, "vendor")
	mode := t.env.flag("mod")
	if mode == "mod" || mode == "readonly" {
		return nil
	}
	data, err := os.ReadFile(filepath.Join(dir, "modules.txt"))
	if err != nil {
		if info, statErr := os.Stat(dir); mode == "vendor" || statErr == nil && info.IsDir() && holdsFolders(dir) && atLeast(t.mains[0].Go, "1.14") {
			return &Error{Reason: "vendor holds no modules.txt that can be read: " + err.Error(), Command: t.vendorCommand(), Dir: t.root}
		}
		return nil
	}
	if mode != "vendor" && !atLeast(t.mains[0].Go, "1.14") {
		return nil
	}
	listed := t.readModulesTxt(dir, string(data))
	for _, f := range t.files {
		for _, r := range f.Require {
			if t.isMain(r.Mod.Path) || !atLeast(t.mains[0].Go, "1.14") {
				continue
			}
			if m := listed[r.Mod.Path]; m != r.Mod.Version && (t.work == nil || m == "") {
				what := "not in vendor/modules.txt"
				if m != "" {
					what = m + " in vendor/modules.txt"
				}
				return &Error{Dir: t.root, Command: t.vendorCommand(),
					Reason: fmt.Sprintf("inconsistent vendoring: %s is required by go.mod, but it is %s", r.Mod, what)}
			}
		}
	}
	return nil
}

func (t *Tree) vendorCommand() string {
	if t.work != nil {
		return "go work vendor"
	}
	return "go mod vendor"
}

func holdsFolders(dir string) bool {
	entries, _ := os.ReadDir(dir)
	return slices.ContainsFunc(entries, os.DirEntry.IsDir)
}

// readModulesTxt enters the packages of vendor and returns the versions of the
// modules it names.
func (t *Tree) readModulesTxt(dir, text string) map[string]string {
	t.vendor = map[string]*Module{}
	versions := map[string]string{}
	var m *Module
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if rest, ok := strings.CutPrefix(line, "## "); ok {
			for note := range strings.SplitSeq(rest, ";") {
				if v, ok := strings.CutPrefix(strings.TrimSpace(note), "go "); ok && m != nil {
					m.Go = v
				}
			}
			continue
		}
		if rest, ok := strings.CutPrefix(line, "# "); ok {
			m = nil
			fields := strings.Fields(rest)
			if len(fields) > 1 && fields[1] != "=>" {
				m = &Module{Path: fields[0], Version: fields[1], Dir: dir, Go: "1.16", Vendored: true}
				versions[m.Path] = m.Version
			}
			continue
		}
		if line != "" && m != nil {
			t.vendor[line] = m
		}
	}
	return versions
}

func (t *Tree) findVendored(path string) (*Package, error) {
	m := t.vendor[path]
	if m == nil {
		e := t.missing(path)
		if e.Command != "" {
			e.Reason = fmt.Sprintf("package %s is not in vendor", path)
			e.Command = "go get " + path + " && " + t.vendorCommand()
		}
		return nil, e
	}
	dir := m.at(path)
	if !holdsGo(dir) {
		return nil, &Error{Path: path, Command: t.vendorCommand(), Dir: t.root,
			Reason: fmt.Sprintf("package %s is listed in vendor/modules.txt, but %s holds no Go files", path, dir)}
	}
	return &Package{path, dir, m}, nil
}
