// Generate writes the machine's instructions: ops.go, their names and what
// they do, and loop.go, which runs them, from the table in table.go.
//
//	go run ./kernelsetup/internal/interpreter/vm/generate          # writes both
//	go run ./kernelsetup/internal/interpreter/vm/generate -check   # compares, writes nothing
//
// Run it from the module's root, or through go generate. To add an operation,
// add a line to the table, have a gen_ file of the machine emit it, and use it
// in a function of package sample, which is both compiled and interpreted.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	check := flag.Bool("check", false, "compare with the files that are there; fail where they differ")
	flag.Parse()
	if err := run(*check); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

func run(check bool) error {
	folder, err := machineFolder()
	if err != nil {
		return err
	}
	for _, file := range []struct {
		name string
		text func() ([]byte, error)
	}{{"ops.go", opsFile}, {"loop.go", loopFile}} {
		text, err := file.text()
		if err != nil {
			return fmt.Errorf("%s: %w", file.name, err)
		}
		path := filepath.Join(folder, file.name)
		if !check {
			if err := os.WriteFile(path, text, 0o666); err != nil {
				return err
			}
			continue
		}
		have, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if !bytes.Equal(have, text) {
			return fmt.Errorf("%s is stale: run make generate", path)
		}
	}
	return nil
}

// machineFolder finds the package from the module's root and from itself.
func machineFolder() (string, error) {
	for _, dir := range []string{"kernelsetup/internal/interpreter/vm", "."} {
		if _, err := os.Stat(filepath.Join(dir, "generate", "table.go")); err == nil {
			return dir, nil
		}
	}
	return "", fmt.Errorf("run it from the module's root or through go generate")
}
