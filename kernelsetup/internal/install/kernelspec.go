package install

import (
	"bytes"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

//go:embed logo/logo-32x32.png logo/logo-64x64.png logo/logo-svg.svg
var logos embed.FS

// spec is the content of kernel.json.
type spec struct {
	Argv          []string       `json:"argv"`
	DisplayName   string         `json:"display_name"`
	Language      string         `json:"language"`
	InterruptMode string         `json:"interrupt_mode"`
	Metadata      map[string]any `json:"metadata"`
}

// writtenBy marks a kernelspec as ours, in its metadata.
const writtenBy = "written_by"

const specName = "kernel.json"

// ErrNotOurs is returned where a folder of the kernel's name holds something
// that this program did not write.
var ErrNotOurs = errors.New("not written by this program")

// Install writes the kernelspec below a data folder, for the program at exe,
// and returns the kernelspec's folder. An earlier one of ours is replaced.
func Install(dataDir, exe string) (string, error) {
	exe, err := filepath.Abs(exe)
	if err != nil {
		return "", err
	}
	if _, err := os.Stat(exe); err != nil {
		return "", fmt.Errorf("the kernel's program: %w", err)
	}
	if strings.Contains(filepath.ToSlash(exe), "/go-build") {
		return "", errors.New("this program was started by \"go run\" and will be gone afterwards; build it to a place where it can stay (go build -o bonnetbook ./kernelsetup) and install from there")
	}
	dir, err := folderFor(dataDir, Name)
	if err != nil {
		return "", err
	}
	return dir, writeSpec(dir, exe, "Go (Bonnetbook)", map[string]any{writtenBy: Name, "debugger": false})
}

// writeSpec writes the files of a kernelspec.
func writeSpec(dir, exe, title string, metadata map[string]any) error {
	s := spec{
		Argv:          []string{exe, "kernel", "{connection_file}"},
		DisplayName:   title,
		Language:      "go",
		InterruptMode: "message",
		Metadata:      metadata,
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return cannotWrite(err)
	}
	var doc bytes.Buffer
	enc := json.NewEncoder(&doc)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		return err
	}
	// First of all: by this file a folder is known as ours.
	if err := atomicfile.Write(filepath.Join(dir, specName), doc.Bytes(), 0o644); err != nil {
		return cannotWrite(err)
	}
	entries, err := logos.ReadDir("logo")
	if err != nil {
		return err
	}
	for _, e := range entries {
		data, err := logos.ReadFile("logo/" + e.Name())
		if err != nil {
			return err
		}
		if err := atomicfile.Write(filepath.Join(dir, e.Name()), data, 0o644); err != nil {
			return cannotWrite(err)
		}
	}
	return nil
}

// folderFor returns the folder of a kernel, unless it holds something else.
func folderFor(dataDir, name string) (string, error) {
	dir := filepath.Join(dataDir, "kernels", name)
	switch err := ours(dir); {
	case err == nil, errors.Is(err, fs.ErrNotExist):
		return dir, nil
	case errors.Is(err, ErrNotOurs):
		return "", err
	default:
		return "", cannotWrite(err)
	}
}

// cannotWrite adds what to do where the place of a kernelspec is closed.
func cannotWrite(err error) error {
	return fmt.Errorf("the kernel cannot be registered there: %w; choose a place that you may write to: without a flag your own, else by --sys-prefix, --prefix or --dir", err)
}

// Remove deletes the files that Install or InstallBuilt wrote for the kernel of
// a name, and the folder if nothing else is in it. It returns the folder.
func Remove(dataDir, name string) (string, error) {
	dir := filepath.Join(dataDir, "kernels", name)
	if err := ours(dir); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return dir, fmt.Errorf("nothing to remove: no kernel %q in %s", name, dataDir)
		}
		return dir, err
	}
	names := []string{builtProgram}
	entries, _ := logos.ReadDir("logo")
	there, _ := os.ReadDir(dir)
	for _, e := range append(entries, slices.DeleteFunc(there, func(e fs.DirEntry) bool { return !atomicfile.Leftover(e.Name()) })...) {
		names = append(names, e.Name())
	}
	names = append(names, specName) // last: until then the folder is known as ours
	for _, name := range names {
		if err := os.Remove(filepath.Join(dir, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return dir, fmt.Errorf("the kernel's registration cannot be removed: %w", err)
		}
	}
	left, err := os.ReadDir(dir)
	if err != nil {
		return dir, err
	}
	if len(left) > 0 {
		return dir, fmt.Errorf("%s: the kernel is removed; the folder stays, since it holds %q, which this program did not write", dir, left[0].Name())
	}
	return dir, os.Remove(dir)
}

// ours reports whether a folder may be written: nil if it holds our
// kernelspec, fs.ErrNotExist if there is none, else ErrNotOurs.
func ours(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return fs.ErrNotExist
		}
		return err
	}
	if !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return !atomicfile.Leftover(e.Name()) && e.Name() != builtProgram }) {
		return fs.ErrNotExist // empty, but for what a killed installation left
	}
	s, err := readSpec(dir)
	if err == nil && s.Metadata[writtenBy] == Name {
		return nil
	}
	return fmt.Errorf("%s is there already and %w; move it away first, or choose another place with --prefix", dir, ErrNotOurs)
}

func readSpec(dir string) (spec, error) {
	var s spec
	data, err := os.ReadFile(filepath.Join(dir, specName))
	if err != nil {
		return s, err
	}
	return s, json.Unmarshal(data, &s)
}
