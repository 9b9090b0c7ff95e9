package main

import (
	"runtime"
	"testing"
)

// The tables of the project's own packages are those that generate writes.
func TestOwnUpToDate(t *testing.T) { upToDate(t, "own") }

func upToDate(t *testing.T, set string) {
	root, err := moduleRoot()
	if err != nil {
		t.Fatal(err)
	}
	list, err := readReleases(root)
	if err != nil {
		t.Fatal(err)
	}
	if set == "own" && list[0].toolchain != runtime.Version() {
		t.Skipf("the tables are made with %s, this is %s; make check compares them", list[0].toolchain, runtime.Version())
	}
	g := newGenerator(root, set, "pkg/...", list[0])
	files, err := g.files(list)
	if err != nil {
		t.Fatal(err)
	}
	if err := compare(g.dir, files); err != nil {
		t.Fatal(err)
	}
}
