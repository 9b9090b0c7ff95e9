package main

import (
	"bufio"
	"bytes"
	"encoding/gob"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// A goRelease is one line of go-releases.txt.
type goRelease struct {
	name      string // "1.26"
	toolchain string // "go1.26.8"
}

// suffix is what the files of one release have in their names.
func (r goRelease) suffix() string { return "_go" + strings.ReplaceAll(r.name, ".", "") }

// constraint is the build constraint of the release's files.
func (r goRelease) constraint() string {
	var minor int
	fmt.Sscanf(r.name, "1.%d", &minor)
	return fmt.Sprintf("go1.%d && !go1.%d", minor, minor+1)
}

// readReleases reads the list; the first is the pinned one.
func readReleases(root string) ([]goRelease, error) {
	name := filepath.Join(root, "kernelsetup", "go-releases.txt")
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	var list []goRelease
	lines := bufio.NewScanner(bytes.NewReader(data))
	for n := 1; lines.Scan(); n++ {
		f := strings.Fields(lines.Text())
		switch {
		case len(f) == 0 || strings.HasPrefix(f[0], "#"):
		case len(f) != 2 || !strings.HasPrefix(f[1], "go"+f[0]):
			return nil, fmt.Errorf("%s:%d: want a release and a toolchain of it, as in \"1.26 go1.26.8\", not %q", name, n, lines.Text())
		default:
			list = append(list, goRelease{f[0], f[1]})
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("%s names no release", name)
	}
	return list, nil
}

// with runs this program again by another toolchain, which the go command
// downloads where it is missing.
func (r goRelease) with(root string, args ...string) error {
	cmd := exec.Command("go", append([]string{"run", "./kernelsetup/internal/symbols/generate"}, args...)...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = root, os.Stdout, os.Stderr
	cmd.Env = append(os.Environ(), "GOTOOLCHAIN="+r.toolchain)
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("%s is needed for the tables of Go %s (the go command downloads it once): %w", r.toolchain, r.name, err)
	}
	return nil
}

// collectAll collects a set from each release's own toolchain.
func collectAll(g *generator, list []goRelease) ([]*collection, error) {
	var all []*collection
	for _, r := range list {
		var c *collection
		var err error
		if r.toolchain == runtime.Version() {
			c, err = g.collect()
		} else {
			c, err = r.collect(g)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.toolchain, err)
		}
		c.release = r
		all = append(all, c)
	}
	return all, nil
}

func (r goRelease) collect(g *generator) (*collection, error) {
	dir, err := os.MkdirTemp("", "symbols")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	name := filepath.Join(dir, "collection")
	if err := r.with(g.root, "-set", g.set, "-own", g.own, "-collect", name); err != nil {
		return nil, err
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	c := new(collection)
	return c, gob.NewDecoder(bytes.NewReader(data)).Decode(c)
}

// writeCollection is what a run with -collect does.
func writeCollection(g *generator, name string) error {
	c, err := g.collect()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(c); err != nil {
		return err
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}
