package install

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A kernel with more packages lies beside the first, with its program, and is
// taken away with it; what somebody else wrote stays.
func TestBuiltKernel(t *testing.T) {
	data, exe := place(t)
	t.Setenv("JUPYTER_DATA_DIR", data)
	if _, err := Install(data, exe); err != nil {
		t.Fatal(err)
	}
	built := filepath.Join(t.TempDir(), "program")
	os.WriteFile(built, []byte("#!/bin/sh\necho built\n"), 0o644)
	b := Built{Name: "bonnetbook-zstd", Title: "Go (Bonnetbook with zstd)", Modules: []string{"example.com/zstd@v1.0.0"}, Packages: []string{"example.com/zstd"}}
	for range 2 { // again replaces our own
		dir, program, err := b.Install(data, built)
		if err != nil || dir != filepath.Join(data, "kernels", b.Name) || filepath.Dir(program) != dir {
			t.Fatalf("%s, %s, %v", dir, program, err)
		}
		if info, err := os.Stat(program); err != nil || info.Mode()&0o111 == 0 {
			t.Errorf("%v, %v", info, err)
		}
	}
	var found []string
	for _, k := range List() {
		if k.Ours && !k.Missing && !k.Shadowed {
			found = append(found, k.Name+": "+k.DisplayName)
		}
	}
	if got := strings.Join(found, "; "); got != "bonnetbook: Go (Bonnetbook); bonnetbook-zstd: Go (Bonnetbook with zstd)" {
		t.Errorf("listed are %s", got)
	}
	if dir, err := Remove(data, b.Name); err != nil {
		t.Error(err)
	} else if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the folder is still there: %v", err)
	}
	if _, err := os.Stat(filepath.Join(data, "kernels", Name, "kernel.json")); err != nil {
		t.Errorf("the first kernel is gone, too: %v", err)
	}
	for _, c := range []struct{ name, want string }{{"With Space", "cannot be the name"}, {"../up", "cannot be the name"}, {"", "cannot be the name"}, {Name, "is that of the first kernel"}} {
		if err := (Built{Name: c.name}).Check(data); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v", c.name, err)
		}
	}
	foreign := filepath.Join(data, "kernels", b.Name)
	os.MkdirAll(foreign, 0o755)
	os.WriteFile(filepath.Join(foreign, "kernel.json"), []byte(`{"argv":["other"],"display_name":"Other"}`), 0o644)
	if _, _, err := b.Install(data, built); !errors.Is(err, ErrNotOurs) {
		t.Errorf("over somebody else's: %v", err)
	}
	if _, err := Remove(data, b.Name); !errors.Is(err, ErrNotOurs) {
		t.Errorf("removal of somebody else's: %v", err)
	}
}
