package toolchain

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestShortNames(t *testing.T) {
	got := ShortNames([]string{"github.com/mattn/go-sqlite3", "github.com/klauspost/cpuid/v2@v2.2.3", "gopkg.in/yaml.v3", "example.com/a/...", "b@latest", "example.org/b"})
	if want := []string{"go-sqlite3", "cpuid", "yaml.v3", "a", "b"}; !reflect.DeepEqual(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// The source is found around the working folder, refused where it is none, and
// its absence is told with what to do.
func TestSource(t *testing.T) {
	ctx := context.Background()
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	root := filepath.Join(here, "..", "..", "..")
	if dir, err := Source(ctx, ""); err != nil || dir != root {
		t.Errorf("%s, %v; want %s", dir, err, root)
	}
	if dir, err := Source(ctx, root); err != nil || dir != root {
		t.Errorf("%s, %v; want %s", dir, err, root)
	}
	empty := t.TempDir()
	if _, err := Source(ctx, empty); err == nil || !strings.Contains(err.Error(), "no source of Bonnetbook") {
		t.Errorf("%v", err)
	}
	os.WriteFile(filepath.Join(empty, "go.mod"), []byte("module example.com/other\n"), 0o644)
	if _, err := Source(ctx, empty); err == nil || !strings.Contains(err.Error(), "is the source of example.com/other") {
		t.Errorf("%v", err)
	}
	os.WriteFile(filepath.Join(empty, "go.mod"), []byte("module "+Module+"\n"), 0o644)
	if _, err := Source(ctx, empty); err == nil || !strings.Contains(err.Error(), "older version") {
		t.Errorf("%v", err)
	}
	t.Chdir(t.TempDir()) // the test's own program lies in no checkout
	if _, err := Source(ctx, ""); err == nil || !strings.Contains(err.Error(), "-source DIR") {
		t.Errorf("%v", err)
	}
}

// A module that needs another version of what the kernel has tables of is
// refused: the tables would not fit. The list is that of the tables.
func TestTabledModulesStay(t *testing.T) {
	before := map[string]string{"gonum.org/v1/gonum": "v0.16.0", "gonum.org/v1/plot": "v0.15.0", "example.com/a": "v1.0.0"}
	after := maps.Clone(before)
	after["example.com/a"], after["example.com/b"] = "v1.1.0", "v0.1.0"
	if err := fits(before, after); err != nil {
		t.Error(err)
	}
	after["gonum.org/v1/plot"] = "v0.16.0"
	if err := fits(before, after); err == nil || !strings.Contains(err.Error(), "gonum.org/v1/plot v0.16.0 would be needed") {
		t.Errorf("%v", err)
	}
	listed, err := os.ReadFile(filepath.Join("..", "symbols", "packages.txt"))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(listed)) {
		path := strings.TrimSpace(line)
		if strings.HasPrefix(path, "#") || strings.HasPrefix(path, "!") || !strings.Contains(path, ".") {
			continue
		}
		if !slices.ContainsFunc(tabled, func(m string) bool { return path == m || strings.HasPrefix(path, m+"/") }) {
			t.Errorf("%s has tables, and its module is not watched", path)
		}
	}
}

func TestInside(t *testing.T) {
	cache := t.TempDir()
	for path, want := range map[string]bool{filepath.Join(cache, "a", "b"): true, cache: true, cache + "x": false, filepath.Dir(cache): false} {
		if got := inside(path, cache); got != want {
			t.Errorf("%s in %s: %v", path, cache, got)
		}
	}
}
