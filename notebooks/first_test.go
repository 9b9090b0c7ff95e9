package notebooks

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What people wrote with the first version keeps working: its notebooks' code
// on its campaign file, both kept under testdata/first.
func TestFirstVersion(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	home := filepath.Join(scratch, "first")
	logs, err := filepath.Glob("../testdata/demo/*-*.*")
	if err != nil || len(logs) == 0 {
		t.Fatal(logs, err)
	}
	for _, path := range append(logs, "testdata/first/campaign.toml") {
		copyFile(t, path, filepath.Join(home, "testdata", "demo", filepath.Base(path)))
	}
	stored, err := filepath.Glob("testdata/first/*.ipynb")
	if err != nil || len(stored) < 12 {
		t.Fatal(stored, err)
	}
	for _, path := range stored {
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			here := filepath.Join(home, "notebooks", filepath.Base(path))
			copyFile(t, path, here)
			out := filepath.Join(home, "ran") + "/"
			run(t, limit, nil, exe, "run", "-q", "-keep-going", "-o", out, here)
			judge(t, path, read(t, filepath.Join(out, filepath.Base(path))))
		})
	}
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	data, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// adapted copies a notebook with the numbers at its top replaced, as a person
// changes them for a car of their own.
func adapted(t *testing.T, from, to string, replace ...string) {
	t.Helper()
	n := document(t, from)
	swap, changed := strings.NewReplacer(replace...), false
	for _, c := range n["cells"].([]any) {
		c := c.(map[string]any)
		tags, _ := c["metadata"].(map[string]any)["tags"].([]any)
		if slices.Contains(tags, any("parameters")) {
			source := sourceOf(t, c)
			c["source"] = swap.Replace(source)
			changed = c["source"] != source
		}
	}
	if !changed {
		t.Fatalf("%s: nothing was replaced", from)
	}
	data, err := json.Marshal(n)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

func sourceOf(t *testing.T, cell map[string]any) string {
	t.Helper()
	data, err := json.Marshal(cell["source"])
	if err != nil {
		t.Fatal(err)
	}
	var s text
	if err := json.Unmarshal(data, &s); err != nil {
		t.Fatal(err)
	}
	return string(s)
}
