package toolchain

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"golang.org/x/mod/modfile"
	"golang.org/x/mod/semver"
)

// Module is the path of the program's own module.
const Module = "github.com/bonnetbook/bonnetbook"

// Source finds the program's own source, from which a kernel is built: the
// folder that was chosen, else the checkout around the program or the working
// folder, else, for a released version, what the module proxy has. It fails
// where none of these is, and says what to do.
func Source(ctx context.Context, chosen string) (string, error) {
	if chosen != "" {
		dir, err := filepath.Abs(chosen)
		if err == nil {
			err = isSource(dir)
		}
		return dir, err
	}
	for _, start := range places() {
		for dir := start; ; dir = filepath.Dir(dir) {
			if isSource(dir) == nil {
				return dir, nil
			}
			if dir == filepath.Dir(dir) {
				break
			}
		}
	}
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Path != Module || !semver.IsValid(info.Main.Version) || semver.Build(info.Main.Version) != "" {
		return "", errors.New("a kernel is built from the source of Bonnetbook, and this program does not know where that is: it was not built from a released version. Take a checkout and name it by -source DIR, or run this command inside of it")
	}
	return download(ctx, info.Main.Version)
}

// places are the folders around which a checkout may be.
func places() []string {
	var list []string
	if exe, err := os.Executable(); err == nil {
		if real, err := filepath.EvalSymlinks(exe); err == nil {
			exe = real
		}
		list = append(list, filepath.Dir(exe))
	}
	if dir, err := os.Getwd(); err == nil {
		list = append(list, dir)
	}
	return list
}

// isSource checks that a folder is the program's source and can be added to.
func isSource(dir string) error {
	data, err := os.ReadFile(filepath.Join(dir, "go.mod"))
	if err != nil {
		return fmt.Errorf("no source of Bonnetbook: %w", err)
	}
	if path := modfile.ModulePath(data); path != Module {
		return fmt.Errorf("%s is the source of %s, want that of %s", dir, path, Module)
	}
	if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(addedFolder), "added.go")); err != nil {
		return fmt.Errorf("%s is the source of an older version, to which no packages can be added", dir)
	}
	return nil
}

// download fetches a released version into the module cache.
func download(ctx context.Context, version string) (string, error) {
	out, err := Output(ctx, os.TempDir(), []string{"GOWORK=off", "GOFLAGS=-mod=mod"}, "mod", "download", "-json", Module+"@"+version)
	if err != nil {
		return "", fmt.Errorf("the source of Bonnetbook %s cannot be fetched: %w; a checkout can be named by -source DIR", version, err)
	}
	var found struct{ Dir, Error string }
	if err := json.Unmarshal(out, &found); err != nil {
		return "", err
	}
	if found.Error != "" {
		return "", fmt.Errorf("the source of Bonnetbook %s cannot be fetched: %s; a checkout can be named by -source DIR", version, strings.TrimSpace(found.Error))
	}
	return found.Dir, isSource(found.Dir)
}
