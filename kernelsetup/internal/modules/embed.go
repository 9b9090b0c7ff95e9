package modules

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/mod/module"
)

// Embedded finds the files that the patterns of //go:embed lines mean in a
// package's folder, as "go help packages" and package embed say: names from
// the folder down, with slashes, sorted. It fails for a pattern that is not
// valid, matches nothing, or leads out of the module or to something that is
// no plain file.
func Embedded(dir string, patterns []string) ([]string, error) {
	found := map[string]bool{}
	for _, p := range patterns {
		names, err := embedded(dir, p)
		if err != nil {
			return nil, fmt.Errorf("pattern %s: %w", p, err)
		}
		for _, n := range names {
			found[n] = true
		}
	}
	out := make([]string, 0, len(found))
	for n := range found {
		out = append(out, n)
	}
	slices.Sort(out)
	return out, nil
}

func embedded(dir, pattern string) ([]string, error) {
	glob, all := strings.CutPrefix(pattern, "all:")
	if _, err := path.Match(glob, ""); err != nil || glob == "." || !fs.ValidPath(glob) {
		return nil, fmt.Errorf("invalid pattern syntax")
	}
	matches, err := fs.Glob(os.DirFS(dir), glob)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, name := range matches {
		if err := withinModule(dir, name); err != nil {
			return nil, err
		}
		full := filepath.Join(dir, filepath.FromSlash(name))
		info, err := os.Lstat(full)
		if err != nil {
			return nil, err
		}
		switch {
		case info.Mode().IsRegular():
			out = append(out, name)
		case info.IsDir():
			files, err := embeddedBelow(dir, full, all)
			if err != nil {
				return nil, err
			}
			if len(files) == 0 {
				return nil, fmt.Errorf("cannot embed directory %s: contains no embeddable files", name)
			}
			out = append(out, files...)
		default:
			return nil, fmt.Errorf("cannot embed irregular file %s", name)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no matching files found")
	}
	return out, nil
}

// embeddedBelow lists the files of a folder that was matched.
func embeddedBelow(dir, top string, all bool) ([]string, error) {
	var out []string
	err := filepath.WalkDir(top, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := d.Name()
		hidden := !all && (strings.HasPrefix(base, ".") || strings.HasPrefix(base, "_"))
		if name != top && (hidden || badName(base)) {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			if _, err := os.Stat(filepath.Join(name, "go.mod")); name != top && err == nil {
				return fs.SkipDir
			}
			return nil
		}
		if d.Type().IsRegular() {
			out = append(out, rel(dir, name))
		}
		return nil
	})
	return out, err
}

// withinModule checks a matched name: no element of it may be another
// module's, or a folder of version control.
func withinModule(dir, name string) error {
	for at := name; at != "."; at = path.Dir(at) {
		if badName(path.Base(at)) {
			return fmt.Errorf("cannot embed %s: invalid name %s", name, path.Base(at))
		}
		folder := filepath.Join(dir, filepath.FromSlash(at))
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return fmt.Errorf("cannot embed %s: in different module", name)
		}
		if info, err := os.Lstat(folder); err == nil && at != name && !info.IsDir() {
			return fmt.Errorf("cannot embed %s: in non-directory %s", name, at)
		}
	}
	return nil
}

// badName reports whether a module cannot have a file of that name.
func badName(name string) bool {
	return module.CheckFilePath(name) != nil || slices.Contains([]string{".bzr", ".hg", ".git", ".svn"}, name)
}

func rel(dir, name string) string {
	r, err := filepath.Rel(dir, name)
	if err != nil {
		return name
	}
	return filepath.ToSlash(r)
}
