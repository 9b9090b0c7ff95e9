// Generate collects the licence texts of every module that has a package in
// the program, on any system that it is built for, and of Go's own library.
//
//	go run ./kernelsetup/internal/licence/generate          # writes texts.bin
//	go run ./kernelsetup/internal/licence/generate -check   # compares, writes nothing
//
// It needs no network: the texts lie in the module cache beside what the
// program is compiled from. It fails where a module has no licence text, one
// of a kind that it does not know, or one that asks for the source of the
// whole (copyleft). Run it from the module's root, or through go generate.
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/licence"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// systems are those of "make dist".
var systems = []string{"linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64", "windows/amd64", "windows/arm64"}

func main() {
	check := flag.Bool("check", false, "compare with the file that is there; fail where it differs")
	flag.Parse()
	if err := run(*check); err != nil {
		fmt.Fprintln(os.Stderr, "licence texts:", err)
		os.Exit(1)
	}
}

func run(check bool) error {
	root, err := moduleRoot()
	if err != nil {
		return err
	}
	entries, err := collect(root, systems)
	if err != nil {
		return err
	}
	data, err := packed.Write(entries)
	if err != nil {
		return err
	}
	path := filepath.Join(root, "kernelsetup/internal/licence", licence.File)
	if !check {
		return os.WriteFile(path, data, 0o644)
	}
	old, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if where := difference(packed.Open(string(old)), entries); where != "" {
		return fmt.Errorf("%s is stale (%s); run go generate ./kernelsetup/internal/licence", path, where)
	}
	return nil
}

// difference names the first entry that an archive has otherwise. Contents are
// compared, as Go releases compress in different ways.
func difference(old *packed.Archive, entries []packed.Entry) string {
	keys := old.Keys()
	for _, e := range entries {
		data, err := old.Data(e.Key)
		if err != nil || !old.Has(e.Key) || string(data) != string(e.Data) || !slices.Equal(old.Attributes(e.Key), e.Attributes) {
			return e.Key
		}
		keys = slices.DeleteFunc(keys, func(k string) bool { return k == e.Key })
	}
	return strings.Join(keys, ", ")
}

// moduleRoot is the folder of go.mod.
func moduleRoot() (string, error) {
	out, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		return "", err
	}
	return filepath.Dir(strings.TrimSpace(string(out))), nil
}
