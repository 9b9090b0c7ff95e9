package main

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// archives are the generated data files of a set.
type archives struct{ common, varying *packed.Archive }

// readArchives opens the files of an earlier run; missing ones are empty.
func readArchives(dir string) archives {
	read := func(name string) *packed.Archive {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return packed.Open("")
		}
		return packed.Open(string(data))
	}
	return archives{read("types.bin"), read("types_" + platforms[0].os + "_" + platforms[0].arch + ".bin")}
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
