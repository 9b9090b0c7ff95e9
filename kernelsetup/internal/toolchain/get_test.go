package toolchain

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A module of a folder is fetched, without a network; outside a module
// nothing is done.
func TestGet(t *testing.T) {
	if _, err := Find(); err != nil {
		t.Skip(err)
	}
	dir := t.TempDir()
	write := func(name, text string) {
		os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755)
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	get := func(args ...string) (string, error) {
		var out bytes.Buffer
		err := Get{1, args}.Run(context.Background(), filepath.Join(dir, "main"), &out)
		return out.String(), err
	}
	write("main/x.txt", "")
	if _, err := get("example.com/a"); err == nil || !strings.Contains(err.Error(), "go mod init") {
		t.Errorf("outside a module: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "main", "go.mod")); err == nil {
		t.Error("a go.mod was made unasked")
	}
	t.Setenv("GOFLAGS", "-mod=mod")
	t.Setenv("GOPROXY", "off")
	write("main/go.mod", "module example.com/main\n\ngo 1.24\n\nreplace example.com/a => ../a\n")
	write("a/go.mod", "module example.com/a\n")
	write("a/a.go", "package a\n")
	if out, err := get("example.com/a"); err != nil || !strings.Contains(out, "added example.com/a") {
		t.Errorf("%v\n%s", err, out)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "main", "go.mod")); !strings.Contains(string(text), "require example.com/a") {
		t.Errorf("go.mod is\n%s", text)
	}
	if _, err := get("-toolexec=x", "example.com/a"); err == nil {
		t.Error("a flag that runs programs is accepted")
	}
	if out, err := get("example.com/none"); err == nil {
		t.Errorf("a module that is nowhere was fetched: %s", out)
	}
	t.Setenv("PATH", t.TempDir())
	if _, err := Find(); err == nil {
		t.Log("Go is found where it is usually installed")
	}
}
