package toolchain

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	pathpkg "path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/mod/modfile"
)

// addedFolder is the package that holds the tables of added packages.
const addedFolder = "kernelsetup/internal/symbols/added"

// Kernel is a kernel that is to be built with more packages.
type Kernel struct {
	// Source is the program's own source, which is not changed; see [Source].
	Source string
	// Modules are what to add: modules, of which all packages are taken, or
	// single packages, each with @VERSION where it shall not be the newest.
	Modules []string
	// Program is the file to write.
	Program string
	// Log is told what is done.
	Log io.Writer
}

// tabled are the modules whose packages every kernel has tables of.
var tabled = []string{"gonum.org/v1/gonum", "gonum.org/v1/plot"}

// Build fetches the modules, makes tables of their packages and compiles the
// program. It returns what was added, modules with their versions. It fails
// where there is no go command, where a module cannot be fetched, where one needs another
// version of what every kernel has tables of, and where something does not
// compile.
func (k Kernel) Build(ctx context.Context) (a Added, err error) {
	work, err := os.MkdirTemp("", "bonnetbook-kernel")
	if err != nil {
		return a, err
	}
	defer os.RemoveAll(work)
	b := build{Kernel: k, work: work, mod: filepath.Join(work, "go.mod"), tables: filepath.Join(work, "added")}
	if b.env, err = b.environment(ctx); err != nil {
		return a, err
	}
	if err := b.fetch(ctx); err != nil {
		return a, err
	}
	if a.Packages, err = b.makeTables(ctx); err != nil {
		return a, err
	}
	if a.Modules, err = b.modules(a.Packages); err != nil {
		return a, err
	}
	return a, b.compile(ctx)
}

// Added is what a kernel has beside what every kernel has: import paths, and
// the modules that they are of, as PATH@VERSION.
type Added struct{ Modules, Packages []string }

// modules finds those of packages in the go.mod.
func (b *build) modules(packages []string) ([]string, error) {
	versions, err := b.versions()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range packages {
		for path := p; path != "."; path = pathpkg.Dir(path) {
			if m := path + "@" + versions[path]; versions[path] != "" && !slices.Contains(out, m) {
				out = append(out, m)
			}
			if versions[path] != "" {
				break
			}
		}
	}
	return out, nil
}

// build is one build of a kernel, in a folder of its own.
type build struct {
	Kernel
	work, mod, tables string
	env               []string
}

func (b *build) say(format string, args ...any) { fmt.Fprintf(b.Log, format+"\n", args...) }

var released = regexp.MustCompile(`^go1\.\d+(\.\d+)?$`)

// environment chooses the toolchain: the installed one if it is of the release
// that this program was built with, else that very one.
func (b *build) environment(ctx context.Context) ([]string, error) {
	env := []string{"GOWORK=off", "GO111MODULE=on", "GOFLAGS=" + strings.TrimSpace(os.Getenv("GOFLAGS")+" -mod=mod")}
	out, err := Output(ctx, b.work, []string{"GOTOOLCHAIN=local"}, "env", "GOVERSION", "CGO_ENABLED", "GOMODCACHE")
	if err != nil {
		return nil, err
	}
	words := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(words) != 3 {
		return nil, fmt.Errorf("go env says %q", out)
	}
	for i := range words {
		words[i] = strings.TrimSpace(words[i])
	}
	if inside(b.Source, words[2]) {
		if err := b.copySource(); err != nil {
			return nil, err
		}
	}
	if words[1] == "0" {
		b.say("There is no C compiler on the PATH (or CGO_ENABLED is 0): code in C is left out.")
	}
	own := runtime.Version()
	if release := regexp.MustCompile(`^go1\.\d+`); release.FindString(words[0]) != release.FindString(own) && released.MatchString(own) {
		b.say("The installed Go is %s; %s is used, which the go command fetches once.", words[0], own)
		env = append(env, "GOTOOLCHAIN="+own)
	}
	return env, nil
}

// inside reports whether a path lies in a folder.
func inside(path, folder string) bool {
	rel, err := filepath.Rel(folder, path)
	return err == nil && filepath.IsLocal(rel)
}

// copySource builds from a copy: in the module cache the go command lets no
// file be replaced.
func (b *build) copySource() error {
	to := filepath.Join(b.work, "source")
	if err := os.CopyFS(to, os.DirFS(b.Source)); err != nil {
		return err
	}
	b.Source = to
	return nil
}

// fetch makes a go.mod that has the modules, too.
func (b *build) fetch(ctx context.Context) error {
	for _, name := range []string{"go.mod", "go.sum"} {
		data, err := os.ReadFile(filepath.Join(b.Source, name))
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(b.work, name), data, 0o644); err != nil {
			return err
		}
	}
	before, err := b.versions()
	if err != nil {
		return err
	}
	b.say("Fetching %s", strings.Join(b.Modules, ", "))
	if err := Run(ctx, b.Source, b.env, b.Log, append([]string{"get", "-modfile=" + b.mod}, b.Modules...)...); err != nil {
		return err
	}
	after, err := b.versions()
	if err != nil {
		return err
	}
	if err := fits(before, after); err != nil {
		return fmt.Errorf("%s: %w", strings.Join(b.Modules, ", "), err)
	}
	return nil
}

// fits refuses versions for which the tables of every kernel are not made.
func fits(before, after map[string]string) error {
	for _, m := range tabled {
		if before[m] != after[m] {
			return fmt.Errorf("%s %s would be needed, and the tables of the kernel are those of %s; choose an older version by @VERSION", m, after[m], before[m])
		}
	}
	return nil
}

// versions are those that the go.mod requires.
func (b *build) versions() (map[string]string, error) {
	data, err := os.ReadFile(b.mod)
	if err != nil {
		return nil, err
	}
	f, err := modfile.Parse(b.mod, data, nil)
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for _, r := range f.Require {
		out[r.Mod.Path] = r.Mod.Version
	}
	return out, nil
}

// makeTables writes the tables of the added packages.
func (b *build) makeTables(ctx context.Context) ([]string, error) {
	var patterns []string
	for _, m := range b.Modules {
		path, _, _ := strings.Cut(m, "@")
		if _, err := Output(ctx, b.Source, b.env, "list", "-m", "-modfile="+b.mod, path); err == nil {
			path += "/..."
		}
		patterns = append(patterns, path)
	}
	if err := os.Mkdir(b.tables, 0o755); err != nil {
		return nil, err
	}
	b.say("Reading the types of their packages")
	var out bytes.Buffer
	cmd, err := command(ctx, b.Source, b.env, []string{"run", "-modfile=" + b.mod, "./kernelsetup/internal/symbols/generate",
		"-modfile", b.mod, "-add", strings.Join(patterns, ","), "-out", b.tables})
	if err != nil {
		return nil, err
	}
	cmd.Stdout, cmd.Stderr = &out, b.Log
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("no tables could be made: %w", err)
	}
	var packages []string
	return packages, json.Unmarshal(out.Bytes(), &packages)
}

// compile builds the program with the tables in the place of the empty set.
func (b *build) compile(ctx context.Context) error {
	entries, err := os.ReadDir(b.tables)
	if err != nil {
		return err
	}
	replace := map[string]string{}
	for _, e := range entries {
		replace[filepath.Join(b.Source, filepath.FromSlash(addedFolder), e.Name())] = filepath.Join(b.tables, e.Name())
	}
	data, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return err
	}
	overlay := filepath.Join(b.work, "overlay.json")
	if err := os.WriteFile(overlay, data, 0o644); err != nil {
		return err
	}
	b.say("Compiling; the first time takes minutes")
	return Run(ctx, b.Source, b.env, b.Log, "build", "-modfile="+b.mod, "-overlay="+overlay, "-trimpath", "-ldflags=-s -w", "-o", b.Program, "./kernelsetup")
}

var major = regexp.MustCompile(`^v\d+$`)

// ShortNames are the last words of what is added, by which people know it.
func ShortNames(modules []string) []string {
	var out []string
	for _, m := range modules {
		path, _, _ := strings.Cut(strings.TrimSuffix(m, "/..."), "@")
		words := strings.Split(path, "/")
		if n := len(words); n > 1 && major.MatchString(words[n-1]) {
			words = words[:n-1]
		}
		if name := words[len(words)-1]; !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}
