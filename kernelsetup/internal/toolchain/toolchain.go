// Package toolchain runs the go command where there is one: to fetch a module
// from a cell, and to build a kernel with more packages. Nothing else in the
// program needs it.
package toolchain

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"
)

// ErrNone is returned where no go command is found.
var ErrNone = errors.New("the go command is needed for this, and it is neither on the PATH nor where Go is usually installed; install Go from https://go.dev/dl")

// Find returns the path of the go command, or ErrNone.
func Find() (string, error) {
	if path, err := exec.LookPath("go"); err == nil {
		return path, nil
	}
	name := "go"
	usual := []string{os.Getenv("GOROOT"), "/usr/local/go", "/opt/homebrew", "/usr/lib/go"}
	if runtime.GOOS == "windows" {
		name, usual = "go.exe", []string{os.Getenv("GOROOT"), filepath.Join(os.Getenv("ProgramFiles"), "Go")}
	}
	for _, dir := range usual {
		path := filepath.Join(dir, "bin", name)
		if info, err := os.Stat(path); dir != "" && err == nil && !info.IsDir() {
			return path, nil
		}
	}
	return "", ErrNone
}

// Run runs the go command in a folder, with variables beside those of the
// process; what it says goes to out. It is interrupted when ctx is cancelled.
// It fails where there is no go command, or where that fails.
func Run(ctx context.Context, dir string, env []string, out io.Writer, args ...string) error {
	cmd, err := command(ctx, dir, env, args)
	if err != nil {
		return err
	}
	cmd.Stdout, cmd.Stderr = out, out
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("go %s: %w", args[0], err)
	}
	return nil
}

// Output is Run for what the go command writes to its standard output. Where
// it fails, the error has what it says.
func Output(ctx context.Context, dir string, env []string, args ...string) ([]byte, error) {
	cmd, err := command(ctx, dir, env, args)
	if err != nil {
		return nil, err
	}
	out, err := cmd.Output()
	if exit := (*exec.ExitError)(nil); errors.As(err, &exit) {
		return nil, fmt.Errorf("go %s: %w\n%s", args[0], err, exit.Stderr)
	}
	return out, err
}

func command(ctx context.Context, dir string, env, args []string) (*exec.Cmd, error) {
	path, err := Find()
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), env...)
	if runtime.GOOS != "windows" { // which knows no interrupt
		cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	}
	cmd.WaitDelay = 3 * time.Second
	return cmd, nil
}
