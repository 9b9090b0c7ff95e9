package main

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// readArchives opens the type data of an earlier run: what every platform and
// release has in common, and what one of each has for itself. Missing files
// are empty.
func readArchives(dir string, r goRelease, p platform) (common *packed.Archive, varying []*packed.Archive) {
	read := func(name string) *packed.Archive {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return packed.Open("")
		}
		return packed.Open(string(data))
	}
	of := "types" + r.suffix()
	return read("types.bin"), []*packed.Archive{read(of + ".bin"), read(of + "_" + p.os + "_" + p.arch + ".bin")}
}

// folderHasGenerics reports whether the Go files of a folder, its tests
// apart, declare something with type parameters.
func folderHasGenerics(folder string) (bool, error) {
	names, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		return false, err
	}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			return false, err
		}
		if declaresGenerics(file) {
			return true, nil
		}
	}
	return false, nil
}
