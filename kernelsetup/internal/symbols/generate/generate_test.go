package main

import (
	"go/token"
	"path/filepath"
	"testing"
)

// The tables of the project's own packages are those that generate writes.
func TestOwnUpToDate(t *testing.T) { upToDate(t, "own") }

func upToDate(t *testing.T, set string) {
	root, err := moduleRoot()
	if err != nil {
		t.Fatal(err)
	}
	g := &generator{root: root, set: set, own: "pkg/...", dir: filepath.Join(root, "kernelsetup/internal/symbols", set), fset: token.NewFileSet()}
	if made := madeWith(g.dir); made != goVersion() {
		t.Skipf("tables were made with %s, this is %s", made, goVersion())
	}
	files, err := g.files()
	if err != nil {
		t.Fatal(err)
	}
	if err := compare(g.dir, files); err != nil {
		t.Fatal(err)
	}
}
