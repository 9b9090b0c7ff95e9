package modules

import (
	"fmt"
	"os"
	"path/filepath"

	"golang.org/x/mod/modfile"
	"golang.org/x/mod/module"
	"golang.org/x/mod/semver"
)

// atLeast reports whether a go directive names a version or a later one.
func atLeast(directive, version string) bool {
	return semver.Compare("v"+numeric(directive), "v"+version) >= 0
}

// numeric makes a go directive a semantic version: 1.21rc2 is before
// 1.21.0, for which 1.21 is enough here.
func numeric(directive string) string {
	for i := range len(directive) {
		if c := directive[i]; c != '.' && (c < '0' || c > '9') {
			return directive[:i]
		}
	}
	return directive
}

// complete reports whether the main modules' requirements name every module
// that their packages need.
func (t *Tree) complete() bool {
	for _, m := range t.mains {
		if !atLeast(m.Go, "1.17") {
			return false
		}
	}
	return len(t.mains) == 1
}

// roots are the requirements of the main modules.
func (t *Tree) roots() map[string]string {
	out := map[string]string{}
	for _, f := range t.files {
		t.require(out, f)
	}
	return out
}

// require raises versions to what a go.mod asks for.
func (t *Tree) require(versions map[string]string, f *modfile.File) {
	for _, r := range f.Require {
		if t.excluded(r.Mod) {
			continue
		}
		if old, ok := versions[r.Mod.Path]; !ok || semver.Compare(r.Mod.Version, old) > 0 {
			versions[r.Mod.Path] = r.Mod.Version
		}
	}
}

func (t *Tree) excluded(m module.Version) bool {
	for _, f := range t.files {
		for _, x := range f.Exclude {
			if x.Mod == m {
				return true
			}
		}
	}
	return false
}

// readGraph makes the build list by minimal version selection: the highest
// version that any go.mod of the graph requires. Behind a module of Go 1.17 or
// later the graph is pruned, as https://go.dev/ref/mod#graph-pruning says: its
// requirements count, and theirs are not read.
func (t *Tree) readGraph() {
	if t.chosen != nil {
		return
	}
	t.chosen = t.roots()
	var todo []module.Version
	pruned := true
	for i, f := range t.files {
		pruned = pruned && atLeast(t.mains[i].Go, "1.17")
		for _, r := range f.Require {
			todo = append(todo, r.Mod)
		}
	}
	seen := map[module.Version]bool{}
	for len(todo) > 0 {
		m := todo[0]
		todo = todo[1:]
		if seen[m] || t.excluded(m) || t.isMain(m.Path) {
			continue
		}
		seen[m] = true
		f, err := t.modFileOf(m)
		if err != nil {
			t.absent = append(t.absent, m)
			continue
		}
		t.require(t.chosen, f)
		if pruned && atLeast(goOf(f), "1.17") {
			continue
		}
		for _, r := range f.Require {
			todo = append(todo, r.Mod)
		}
	}
}

// replacement returns what a module is replaced by; ok is false for none.
// A replacement of one version goes before one of all.
func (t *Tree) replacement(m module.Version) (to module.Version, base string, ok bool) {
	var lists [][]*modfile.Replace
	var bases []string
	if t.work != nil {
		lists, bases = append(lists, t.work.Replace), append(bases, t.root)
	}
	for i, f := range t.files {
		lists, bases = append(lists, f.Replace), append(bases, t.mains[i].Dir)
	}
	for i, list := range lists {
		for _, r := range list {
			switch {
			case r.Old.Path != m.Path:
			case r.Old.Version == m.Version:
				return r.New, bases[i], true
			case r.Old.Version == "" && !ok:
				to, base, ok = r.New, bases[i], true
			}
		}
		if ok {
			return to, base, ok
		}
	}
	return to, base, ok
}

// place returns a module's folder and go.mod.
func (t *Tree) place(m module.Version) (dir, file string, own bool, err error) {
	if to, base, ok := t.replacement(m); ok {
		if to.Version == "" {
			dir = filepath.FromSlash(to.Path)
			if !filepath.IsAbs(dir) {
				dir = filepath.Join(base, dir)
			}
			return dir, filepath.Join(dir, "go.mod"), true, nil
		}
		m = to
	}
	path, err := module.EscapePath(m.Path)
	if err != nil {
		return "", "", false, err
	}
	version, err := module.EscapeVersion(m.Version)
	if err != nil {
		return "", "", false, err
	}
	cache := t.env.cache()
	return filepath.Join(cache, filepath.FromSlash(path)+"@"+version),
		filepath.Join(cache, "cache", "download", filepath.FromSlash(path), "@v", version+".mod"), false, nil
}

// modFileOf reads a required module's go.mod; one that only names the module
// stands for a folder without.
func (t *Tree) modFileOf(m module.Version) (*modfile.File, error) {
	dir, file, own, err := t.place(m)
	if err != nil {
		return nil, err
	}
	data, err := os.ReadFile(file)
	if err != nil && !own {
		// Extracted, with the downloads cleaned away.
		file = filepath.Join(dir, "go.mod")
		data, err = os.ReadFile(file)
	}
	if err != nil {
		return nil, err
	}
	return modfile.ParseLax(file, data, nil)
}

// open finds a module of the build list on disk.
func (t *Tree) open(v module.Version) (*Module, *Error) {
	key := v.String()
	if m := t.known[key]; m != nil {
		return m, nil
	}
	dir, _, own, err := t.place(v)
	if err != nil {
		return nil, &Error{Reason: err.Error()}
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		e := &Error{Dir: t.mains[0].Dir, Command: "go mod download " + v.Path,
			Reason: fmt.Sprintf("module %s is required by go.mod, but it is not in the module cache (no folder %s)", v, dir)}
		if own {
			e.Command, e.Reason = "", fmt.Sprintf("module %s is replaced by the folder %s, which is not there", v, dir)
		}
		return nil, e
	}
	m := &Module{Path: v.Path, Version: v.Version, Dir: dir, Go: "1.16", Own: own}
	if f, err := t.modFileOf(v); err == nil {
		m.Go = goOf(f)
	}
	t.known[key] = m
	return m, nil
}
